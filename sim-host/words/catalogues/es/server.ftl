# server: las palabras de esta sala. Mensajes en el orden del código que los pide.

# Respuestas a peticiones que no se cumplen.
refused-no-exercise = no existe ese ejercicio
refused-seed-assessed = una evaluación se sortea con una semilla que nadie elige: omitir `seed`
refused-full = hay { $most } estaciones, tantas como admite el servidor: terminar una
refused-stopping = el servidor se está parando
# $why es una frase propia del controlador, en inglés.
refused-no-controller = { $why }
refused-no-thread = el sistema no dio ningún hilo al servidor; véase su registro
refused-name-empty = hace falta un nombre
refused-name-long = un nombre tiene como máximo { $most } caracteres
refused-name-unprintable = un nombre solo tiene caracteres imprimibles
refused-no-number = un intento tiene un número
refused-no-attempt = no hay ningún intento { $attempt } en los registros
refused-records-busy = otro programa tiene abiertos los registros: cerrarlos allí e intentarlo de nuevo
refused-records-ended = los registros están cerrados: arrancar de nuevo el servidor
# $error es la frase propia de la base de datos, en inglés.
refused-records-database = los registros no se pueden usar: { $error }: comprobar que el disco no está lleno y que el archivo está entero; con --records se puede indicar una copia de seguridad
# $error es una frase entera en inglés.
refused-records = { $error }
refused-debrief-assessed = una evaluación no tiene repaso antes de terminar
refused-debrief-not-there = este repaso es para quien estuvo en su puesto: se llega por el enlace al final del propio intento, o por el instructor
refused-no-file = no existe ese archivo
refused-nothing = no hay nada en esta dirección
refused-no-method = a esta dirección no se le pide de esta manera
refused-passing = estos ejercicios son los del juego de demostración y no están en ninguna carpeta: escribirlo con `twinplate demo CARPETA` y arrancar con `--exercises CARPETA/exercises`
# $error es la frase propia del sistema.
refused-folder = la carpeta de ejercicios no lo acepta: { $error }
refused-there = ya existe un ejercicio `{ $exercise }`: dar a este un identificador propio
refused-changed = otra persona ha cambiado `{ $exercise }` entretanto: abrirlo de nuevo o dar a este un identificador propio
# $why es una frase del programa, en inglés: qué está mal en lo que se envió.
refused-not-understood = { $why }
refused-no-host = una petición nombra un anfitrión, una sola vez
refused-other-host = este servidor no es el anfitrión al que se preguntó: usar la dirección que imprimió
refused-other-origin = solo una página de este servidor puede hacer esto
refused-no-token = para esto hace falta el token del servidor: abrir la página con la dirección que lo lleva, o cargarla de nuevo
refused-not-instructor = esto es para instructores: hace falta el token que el servidor imprimió para ellos al arrancar
refused-failed = el servidor falló en esto; véase su registro

# La regla propia del formador: está listo quien ha superado cada ejercicio tantas veces seguidas.
rule-passes = { $passes } superados seguidos; se espera de 1 a { $most }
rule-no-exercise = no existe el ejercicio `{ $exercise }`

# Por qué se cierra una conexión con una estación.
closing-busy = la estación tiene más que hacer de lo que puede; volver más tarde
closing-no-station = no existe esa estación; puede que se haya cerrado
closing-join-late = el primer mensaje, una incorporación, no llegó a tiempo
closing-join-first = el primer mensaje debe ser una incorporación
closing-protocol = este servidor habla la versión { $ours }, la página la { $theirs }: cargar de nuevo la página
closing-token = el token no es el de este servidor: cargar de nuevo la página
closing-instructor = este token es el de la clase, y hace falta el de un instructor: el servidor lo imprimió al arrancar
closing-unreadable = un mensaje que no es un mensaje websocket, o demasiado largo
closing-not-text = los mensajes son texto; este era binario
closing-too-long = un mensaje de { $bytes } bytes; el más largo puede tener { $most }
# $error es una frase del programa, en inglés.
closing-not-understood = un mensaje que no se entiende: { $error }
closing-lost = esta página no da señales de vida
closing-too-many = más de { $most } mensajes por segundo
closing-joined-already = esta conexión ya se ha incorporado
closing-full = esta estación tiene { $most } conexiones, tantas como admite
closing-no-seat = el servidor no puede dar un puesto
closing-replaced = este puesto se ocupó de nuevo desde otra conexión
closing-station-closed = la estación está cerrada; su intento está en los registros

# Lo que rechaza una estación. Control: un operario lo tiene y maneja el panel de la máquina; los demás observan.
station-take-control-first = solo quien tiene el control de esta estación actúa en ella: tomar antes el control
station-not-leading = esto es para quien tiene el control, y para instructores
station-not-instructor = esto es para instructores
station-assessed = una evaluación va por el reloj, y solo interviene la mano del alumno
station-no-time = { $seconds } s no es un momento de esta sesión
station-not-held = se soltó el mando sensitivo: accionarlo de nuevo
station-over = el intento ha terminado: ya no se le hace nada
station-operators-only = solo los operarios toman el control
station-control-held = otra persona tiene el control: pedirle que lo suelte
station-control-kept = quien tenía el control ha perdido la conexión y lo conserva { $seconds } s más
