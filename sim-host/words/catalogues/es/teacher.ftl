# teacher: las páginas de los instructores: estaciones y registros, la clase y el formulario de ejercicios.


## Página del instructor; y lo que comparten las cabeceras de estas páginas y del repaso

instructor-title = twinplate: formación, instructor
instructor-heading = twinplate · instructor
instructor-pages =
    .aria-label = Páginas
instructor-records = Registros
instructor-to-instructor = Instructor
instructor-to-class = Clase
instructor-to-exercises = Ejercicios
instructor-to-operator = Operario
instructor-print = Imprimir
instructor-stations = Estaciones
instructor-station = Estación
instructor-close = Cerrar
instructor-faults =
    .aria-label = Fallos
instructor-fault-title = Iniciar o terminar un fallo
instructor-component = Componente
instructor-how = Cómo falla
instructor-how-much = Cuánto
instructor-inject = Iniciar el fallo
instructor-repair = Arreglar el componente
instructor-time = Tiempo
instructor-paces =
    .aria-label = Ritmo del tiempo
instructor-go-back-to = Volver a
instructor-moment =
    .aria-label = Momento, minutos:segundos
# Una tecla; y en la respuesta de debajo, lo que se rechazó.
instructor-go-back = Volver
instructor-then-stops = Después el tiempo se para. Lo que vino más tarde cuenta como no ocurrido; el registro lo conserva.
instructor-finish = Terminar el intento y registrarlo
instructor-filter-label = Mostrar solo los intentos con
instructor-filter =
    .placeholder = alumno o ejercicio
instructor-result = Resultado
instructor-every = todos los resultados
instructor-passed = superado
instructor-not-passed = no superado
instructor-not-finished = no terminado
instructor-running = en curso
# Los dos archivos en que se guardan los registros.
instructor-csv = Intentos como CSV
instructor-csv-acts = Acciones como CSV
instructor-table =
    .aria-label = Tabla de intentos
# Cabeceras de la tabla de intentos. "N.º" es el número del intento.
instructor-number = N.º
instructor-trainee = Alumno
instructor-exercise = Ejercicio
instructor-began = Comienzo
instructor-points = Puntos
instructor-debrief = Repaso
instructor-caution = Simulador de formación, no es una función de seguridad. Quien lo domina ha dominado el simulador: los primeros ciclos en una máquina se hacen con alguien que la conoce.

instructor-no-answer = El servidor no responde: { $why }
instructor-stations-unread = No se pudieron leer las estaciones: { $why }
instructor-nobody = No hay nadie en ninguna máquina. Un operario empieza en la página de operario.
# En la ficha de una estación, entre puntos: las alarmas y lo que la máquina hace ante ellas; las páginas abiertas; el ritmo del tiempo.
instructor-alarms =
    { $n ->
        [one] { $n } alarma, { $response }
       *[other] { $n } alarmas, { $response }
    }
instructor-no-alarm = ninguna alarma
instructor-present =
    { $n ->
        [one] { $n } página
       *[other] { $n } páginas
    }
instructor-present-without-control =
    { $n ->
        [one] { $n } página, sin control
       *[other] { $n } páginas, sin control
    }
instructor-pace-of =
    { $pace ->
        [paused] tiempo parado
        [fastest] al máximo
       *[other] { $pace }
    }
instructor-recorded = El intento ha terminado y queda registrado con el número { $attempt }.
# Lo que se pidió, como lo nombra la respuesta: "{ $what }: hecho." El componente va con su palabra en los archivos.
instructor-fault = Fallo
instructor-no-number = «{ $text }» no es un número; déjelo vacío para la magnitud habitual.
instructor-fault-of = { $component }, { $mode }
instructor-put-right = Arreglar { $component }
# Cómo falla un componente.
instructor-mode =
    { $mode ->
        [off] sin función
        [stuck] atascado
        [garbage] al azar
        [wrong] incorrecto
        [slow] lento
        [delayed] retrasado
        [intermittent] intermitente
       *[other] { $mode }
    }
instructor-needs-none = (no hace falta)
# Lo que hace un fallo, en palabras que aquí ya están completas.
instructor-meaning = Efecto: { $meaning }.
instructor-meaning-of-part = Efecto: { $meaning }.
instructor-pace = Ritmo
instructor-no-moment = escriba el momento como minutos:segundos, por ejemplo 1:30, o en segundos.
instructor-back-to = Volver a { $moment }
instructor-end = Terminar
instructor-done = { $what }: hecho.
instructor-refused = { $what }, rechazado: { $why }
instructor-unsaved = No se pudieron guardar los registros: { $why }
instructor-records-unread = No se pudieron leer los registros: { $why }
# De puntos, y de los intentos que se muestran.
instructor-of = { $part } de { $whole }
instructor-debrief-of = Repaso { $attempt }


## La clase

class-title = twinplate: formación, clase
class-heading = twinplate · clase
class-rule = Quién está listo
# Una frase en torno a una lista de "una vez", "dos veces", "3 veces" (class-times).
class-rule-before = ha superado cada ejercicio marcado abajo
class-passes = veces seguidas
class-rule-after = sin interrupción, hasta el último intento.
class-keep = Guardar esta regla
class-nobody = Nadie ha terminado todavía un intento.
class-table =
    .aria-label = Tabla de la clase
class-cell = Una casilla: puntos del último intento, cómo fue frente al anterior, el mejor y cuántos se terminaron. El enlace lleva al último repaso.
class-caution = Simulador de formación, no es una función de seguridad. Listo significa aquí listo para recibir instrucción en la máquina, de alguien que la conoce, según las normas locales y con personal autorizado.

class-unread = No se pudo leer la clase: { $why }
class-times =
    { $n ->
        [1] una vez
        [2] dos veces
       *[other] { $n } veces
    }
class-exercise = Ejercicio
# Cabecera de las casillas que dicen qué ejercicios cuentan para estar listo.
class-counts = cuenta
class-ready = Listo
class-exercise-counts = { $title } cuenta
class-no-rule = todavía sin regla
# Ejercicios que quedan por superar.
class-to-go =
    { $n ->
        [one] falta { $n }
       *[other] faltan { $n }
    }
class-is-ready = listo
class-best =
    { $n ->
        [one] mejor { $best }, { $n } intento
       *[other] mejor { $best }, { $n } intentos
    }
class-changed = Cambiada, todavía sin guardar.
class-kept = Guardada.
class-not-kept = no guardada: { $why }


## El formulario de ejercicios

form-title = twinplate: formación, ejercicios
form-heading = twinplate · ejercicios
form-broken = Archivos que se omiten
form-from = Empezar con
form-open = Abrir
form-where = Los ejercicios que se hicieron aquí se cambian en su sitio. De todos los demás se hace una copia, con un identificador propio.
form-exercise =
    .aria-label = Ejercicio
form-check = Comprobar
form-keep = Guardar y ofrecer
form-errors =
    .aria-label = Qué está mal
form-caution = Simulador de formación, no es una función de seguridad. Un ejercicio forma en lo que espera: haga que lo mire alguien que conoce la máquina antes de que otros aprendan con él.

form-unread = No se pudieron leer los ejercicios: { $why }
# Sigue a "Empezar con".
form-blank = un formulario en blanco
form-line = línea { $line }: { $told }
# Lo que está mal en un archivo se dice en inglés, como en una terminal; también lo que aquí se le añade.
form-expected = { $message }; expected { $expected }
form-nearest = { $told }. Did you mean "{ $nearest }"?
form-leave = Lo que se cambió aquí no está guardado. ¿Abandonarlo?
form-own = Este ejercicio se hizo aquí: se cambia en su sitio.
form-copy = Una copia, con un identificador propio.
form-not-opened = no abierto: { $why }
form-wrong =
    { $n ->
        [one] Hay { $n } cosa mal.
       *[other] Hay { $n } cosas mal.
    }
form-kept = Guardado como «{ $id }», { $points } puntos. Los operarios lo encuentran en su lista.
form-right = Nada está mal: se pueden obtener { $points } puntos.

# Cabeceras de las partes de un ejercicio.
form-events = Qué ocurre
form-training = El ejercicio
form-good = Lo que hace un buen operario
form-forbidden = Lo que nadie debe hacer
form-guide = Guía, paso a paso
form-stored = Recetas guardadas
form-book = Libro de turno
form-statements = Lo que se puede decir en la entrega
form-found = Cómo se encuentra la máquina
form-harm = Lo que cuestan los daños
# Entre qué se puede elegir.
form-when = Cuándo
form-what = Qué
form-from-when = Desde cuándo
form-place = Dónde
form-identifier = Identificador
# Dos claves de un archivo que se excluyen.
form-or = { $one } o { $other }
# Siguen a la descripción de una clave, que está en inglés.
form-range = De { $least } a { $most }.
form-left-out = Si se omite: { $usual }.
form-up = Subir
form-down = Bajar
form-take-out = Quitar
form-add = Añadir a «{ $list }»
