# operator: las palabras de esta sala. Mensajes en el orden del código que los pide.

## La entrada, donde se elige un ejercicio.

# El título de la página.
lobby-title = twinplate: formación, operario
lobby-heading = twinplate · formación de operarios
lobby-pages =
    .aria-label = Páginas
lobby-instructor = Instructor
lobby-language =
    .aria-label = Idioma
lobby-choose = Elegir un ejercicio
lobby-exercises = Ejercicios
lobby-chosen =
    .aria-label = El ejercicio elegido
lobby-none-chosen = Ningún ejercicio elegido
lobby-trainee = Su nombre, como debe figurar en los registros
lobby-begin = Ir a la máquina
lobby-running = Máquinas en uso
lobby-caution = Simulador de formación con máquinas y piezas inventadas. No es una función de seguridad. En una máquina real deciden las normas locales, las instrucciones de la propia máquina y el personal autorizado.
lobby-unread = No se pudieron leer los ejercicios: { $why }
# Junto al título de un ejercicio: una guía conduce por él.
lobby-guided = ▸ guiado
# Junto al título de un ejercicio: es una evaluación.
lobby-assessment = ◇ evaluación
lobby-no-exercise = No se encontró ningún ejercicio. Arranque el servidor en la carpeta del proyecto o indique una carpeta con --exercises.
lobby-guided-fact = Se explica cada paso, y la guía espera a que se haga.
lobby-assessment-fact = Una evaluación: lo que va mal, si algo va mal, se sortea de nuevo cada vez. Va por el reloj, sin pausa; nada indica cómo va usted, y el diagnóstico viene antes del primer remedio.
# $machine es el título de la máquina; $pass, los puntos que hacen falta para superarlo.
lobby-facts =
    { $points ->
        [one] { $machine }. { $points } punto, se supera desde { $pass }.
       *[other] { $machine }. { $points } puntos, se supera desde { $pass }.
    }
# $state y $phase son los de la máquina.
lobby-station-held = { $state }, { $phase }; alguien tiene el control
lobby-station-free = { $state }, { $phase }; nadie tiene el control
# $title es el del ejercicio.
lobby-station = { $trainee }: { $title }
lobby-choose-first = Elija antes un ejercicio.
lobby-name-first = Escriba antes su nombre.
lobby-not-set-up = No se pudo preparar la máquina: { $why }

## En la máquina.

station-shortcuts =
    .aria-label = Atajos
station-to-emergency = A la parada de emergencia
station-to-controls = A los mandos
station-heading = Panel del operario
station-exercise =
    .aria-label = Ejercicio
station-paces =
    .aria-label = Ritmo del tiempo
station-take-control = Tomar control
station-finish = Terminar
station-leave = Salir
station-task =
    .aria-label = Tarea
station-read-all = Leer todo
station-understood = Entendido
station-found = Hallado
station-close = Cerrar
station-caution = Simulador, sin función de seguridad: en una máquina real deciden las normas locales, sus instrucciones y el personal autorizado.
station-ended = El intento ha terminado
station-to-debrief = Abrir el repaso
station-another = Otro ejercicio
station-no-answer = El servidor no responde: { $why }
# El título de la página; $title es el del ejercicio.
station-title = twinplate: { $title }
# Lo que se rechazó, el $name de controls-refused: otro ritmo del tiempo; tomar o soltar el control.
station-pace = Ritmo
station-control = Control
station-step = ▶ Paso { $number } de { $of }
station-work-order = Orden de trabajo
# Otra persona maneja; $seat es un signo corto que dice quién es.
station-watching = ◎ Observando: el puesto { $seat } tiene el control
station-watching-free = ◎ Observando: nadie tiene el control
station-release-control = Soltar control
# $title es el del ejercicio; $attempt, el número del intento en los registros.
station-recorded = «{ $title }» queda registrado como intento { $attempt }. El repaso muestra lo que se hizo junto a lo que se debía haber hecho.
station-recorded-untitled = El ejercicio queda registrado como intento { $attempt }. El repaso muestra lo que se hizo junto a lo que se debía haber hecho.

## Las manos del operario: las teclas tienen poco sitio, y las de un grupo están una junto a otra.

# $name es lo que está escrito en la tecla; $why es una frase o el final de una, como en los mensajes de aquí que terminan en -missing.
controls-refused = ✕ { $name }, rechazado: { $why }
controls-emergency-stop = Parada de emergencia
controls-release-stop = Girar para desenclavar
controls-operator-panel = Panel del operario
controls-acknowledge = Reconocer alarmas
# La categoría de parada (IEC 60204-1).
controls-category = categoría { $category }
controls-raise = Elevar plato
controls-confirm-count = Conf. recuento
controls-pieces = Piezas contadas
controls-pieces-short = uds.
controls-pieces-missing = escribir el número de piezas que se han contado, de 0 a 999.
controls-unload = Sacar piezas
controls-unload-and-measure = Sacar y medir piezas
controls-machine = Piezas ({ $carriers } portapiezas)
controls-unlock-guard = Desbloq. resg.
controls-open-guard = Abrir resg.
controls-close-guard = Cerrar resg.
controls-lock-guard = Bloq. resg.
controls-load-carriers = Colocar portap.
controls-count-parts = Contar piezas
controls-work = Hacer
controls-tending = Qué hacer en la máquina
controls-tending-none = en la máquina…
controls-tending-missing = elegir antes qué hacer en la máquina.
controls-at-machine = En la máquina
controls-hand-over = Decirlo
controls-statement = Qué entregar
controls-statement-none = entregar…
controls-statement-missing = elegir antes qué entregar.
controls-handover = Entrega
controls-measure = Medir en cinco puntos
controls-measured = Piezas que medir
controls-measured-short = uds.
controls-measured-missing = escribir cuántas piezas medir, desde 1.
controls-inspection = Inspección de las piezas
controls-lay-flat = Poner plano óptico
controls-judge = Juzgar
controls-verdict = Lo que halla de las piezas
controls-verdict-none = estas piezas quedan…
controls-verdict-missing = elegir antes lo que se halla de las piezas.
controls-recall = Cargar
controls-slot = Receta guardada
controls-slot-none = receta…
controls-slot-missing = elegir antes una receta guardada.
# $title es el de la receta, $batch nombra lo que se lapea, $steps son los nombres de los pasos con sus cargas.
controls-stored =
    { $pieces ->
        [one] ◉ Posición { $slot }, { $title }, para { $batch }, { $pieces } pieza: { $steps }.
       *[other] ◉ Posición { $slot }, { $title }, para { $batch }, { $pieces } piezas: { $steps }.
    }
controls-diagnose = Decirlo
controls-diagnosis = Lo que cree que va mal
controls-diagnosis-none = diagnóstico…
controls-nothing-wrong = nada va mal
controls-diagnosis-missing = elegir antes lo que se cree que va mal.
controls-stores = Lechada y almacén
controls-check-slurry = Revisar depósito, agitador, línea
controls-have-done = Hacer arreglar
controls-remedy = Qué hacer arreglar
controls-remedy-none = arreglar…
controls-remedy-missing = elegir antes qué hacer arreglar.
controls-form-lower = Forma del plato inferior, + convexo
controls-form-lower-short = inf.
controls-form-upper = Forma del plato superior, + convexo
controls-form-upper-short = sup.
controls-report-form = Comunicar forma
controls-form-missing = escribir lo que se lee en ambos platos, + si el plato es convexo, − si es cóncavo.
controls-form = Forma de los platos
# Con qué se lee la forma, antes de sus campos: franjas de interferencia bajo un plano óptico, o el hueco bajo una regla de precisión.
controls-by-bands = franjas, + cara cóncava:
controls-by-straightedge = regla, { $unit }, + borde interior alto:
controls-recall-first = Cargar antes la receta.
# $rings dice cómo giran las coronas; $lower y $upper son las formas de los platos, con signo, en $unit.
controls-form-unreported = Coronas: { $rings }. ⚠ Sin comunicar.
controls-form-too-old =
    { $longest ->
        [one] Coronas: { $rings }. Inferior { $lower }, superior { $upper } { $unit }, ⚠ atrasada, { $age } de { $longest } lote.
       *[other] Coronas: { $rings }. Inferior { $lower }, superior { $upper } { $unit }, ⚠ atrasada, { $age } de { $longest } lotes.
    }
controls-form-reported =
    { $longest ->
        [one] Coronas: { $rings }. Inferior { $lower }, superior { $upper } { $unit }, de hace { $age } de { $longest } lote.
       *[other] Coronas: { $rings }. Inferior { $lower }, superior { $upper } { $unit }, de hace { $age } de { $longest } lotes.
    }
controls-setup-key = Llave Ajuste
controls-key-off = quitada
controls-setup = Ajuste, mando sensitivo
controls-hold = Mando sensitivo
controls-hold-note = mueve solo si se mantiene
# Bajo el pulsador de la parada de emergencia.
controls-pressed = PULSADA
controls-key-on = girada
# Marca en el mando al que se refiere un paso guiado.
controls-here = ▶ aquí
