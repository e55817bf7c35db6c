# Lo que muestra cada página de la máquina, tanto al operario como al instructor. Mensajes en el orden de los archivos que los piden.

# --- say.js: la tecla de claro y oscuro, que nombra aquello a lo que lleva

theme-light = Claro
theme-dark = Oscuro

# --- api.js

api-answered = el servidor respondió { $status }

# --- link.js: la línea con el servidor

link-connecting = Conectando…
link-again = Conexión perdida. Conectando de nuevo…
link-not-connected = Sin conexión: no se hizo nada.
link-no-answer = La conexión se perdió antes de llegar una respuesta. Mire la máquina antes de intentarlo de nuevo.
link-closed = La conexión está cerrada.
link-lost = Conexión perdida. Lo que ve no es actual; nada de lo que pulse tiene efecto.

# --- words.js

# Categoría de parada (IEC 60204-1), de 0 a 2, y con lo que hace.
words-category = categoría { $category }
words-category-does = categoría { $category }: { $does }
# Teclas del ritmo del tiempo, junto a "1×" y "5×".
words-pause = Pausa
words-fastest = Máx
# Al final del título de una demostración; allí se quita.
words-invented = (inventado)

# --- panel.js: estado, vista y lo que está en vigor

panel-state = Estado
panel-cut = Sección y planta
panel-lamps = Pilotos e interruptores
panel-instruments = Velocidades, lechada, cota, servicios
panel-scale = A lo ancho, sin escala; alturas según la escala de la izquierda.
# Dos teclas, y lo que eligen.
panel-section = Sección
panel-plan = Planta
panel-view = Vista
panel-missing = Falta: { $what }.
panel-time-stopped = tiempo parado
# El ritmo del tiempo que se alcanza, "4,8".
panel-kept = { $pace }× real
panel-step = paso { $n } de { $all } «{ $name }»
panel-recipe = receta { $slot } { $id }
panel-recipe-slot = receta { $slot }
panel-no-recipe = sin receta
panel-confirmed =
    { $all ->
        [one] { $n } de { $all } pieza confirmada
       *[other] { $n } de { $all } piezas confirmadas
    }
# Tiempos en que un paso mantuvo su carga en la banda, "1:30".
panel-spent-of = { $spent } de { $asked } en banda
panel-spent = { $spent } en banda
# La fila de enclavamiento que vino primero; "fila" sustituye a un nombre que no se conoce.
panel-cause = Primera causa: { $name } (fila { $row })
panel-row = fila
panel-stop = parada
panel-no-force = Ninguna parada, pausa ni inhibición en vigor.

# --- ladder.js

ladder-title = Secuencia de fases
# Donde el ciclo dejó la escala.
ladder-left = salió
ladder-beside = Fuera de secuencia: { $phase }

# --- load.js

# Todo el tiempo, junto a "1 min" y "5 min".
load-all = todo
load-windows = Duración de la curva
load-chart = Carga en los últimos minutos, con fases, referencia y límite
load-title = Carga
load-reference = referencia
load-limit = límite
load-ribbon = Cinta del ciclo
load-gauge = Indicador de carga
load-over = ▲ sobre el límite
load-weight = peso de { $mass }
load-no-reference = ninguna
load-no-limit = ninguno
load-since = carga desde { $time }

# --- section.js

section-picture = Sección de los platos
section-scale = intersticio, { $unit }
section-on-parts = en las piezas
section-gap = hueco { $height }

# --- plan.js

plan-picture = Planta: la máquina desde arriba
plan-nothing-turns = Desde arriba. Nada gira.
plan-from-above = Desde arriba.
# Velocidades con una flecha para el sentido.
plan-carriers = Portapiezas: órbita { $orbit }, giro propio { $spin } rpm.
plan-slowed = Mostrado a 1×.

# --- instruments.js

instruments-speeds = rpm; par
instruments-inner = interior
instruments-outer = exterior
instruments-lower = inferior
instruments-upper = superior
instruments-slurry = Lechada
instruments-flow = caudal
instruments-rinse = enjuague
instruments-tank = depósito
instruments-size = Cota, { $target } ± { $tolerance }
instruments-gauge = medidor
instruments-services = Servicios
instruments-air = sum. de aire
instruments-pump-on = bomba
instruments-pump-off = no
instruments-valve-open = válv. abierta
instruments-stirred = agitado
instruments-not-stirred = quieto
# La cota según el medidor: por debajo de su tolerancia, dentro, por encima y sin medir.
instruments-under = ▼ baja
instruments-in-size = bien
instruments-above = alta
instruments-unknown = sin dato
# Pilotos, cada uno con "sí" o "no" detrás para quien no lo ve.
instruments-guard-open = resg. abierto
instruments-guard-locked = resg. bloqueado
instruments-loaded = piezas dentro
instruments-pin = pasador metido
instruments-drives = acc. activos
instruments-standstill = reposo
instruments-pump = bomba lechada
instruments-agitator = agitador gira
instruments-own-lock = candado puesto
instruments-lamps = Pilotos
instruments-yes = sí
instruments-no = no

# --- alarms.js

alarms-title = Alarmas
alarms-all = Todas
alarms-no-alarm = Ninguna alarma. Todos los enclavamientos están satisfechos.
# Cuántas hay, y cuántas de ellas esperan a ser reconocidas.
alarms-tally =
    { $fresh ->
        [one] { $all } · { $fresh } nueva
       *[other] { $all } · { $fresh } nuevas
    }
alarms-none = ninguna
# Se lee en voz alta cuando llega una alarma.
alarms-line = Alarma { $row }: { $happened }
alarms-first = primera causa
# Cabeceras de la tabla de enclavamientos.
alarms-state = Estado
alarms-interlock = Enclavamiento
alarms-watched = Vigilado
alarms-response = Respuesta
alarms-released = Se libera con
alarms-what = Qué pasó; qué hacer
alarms-close = Cerrar
alarms-table = Tabla de enclavamientos
# Una fila que no se conoce.
alarms-unknown-name = fila { $row }
alarms-unknown = Enclavamiento { $row }

# --- sound.js

sound-on = ♪ sí
sound-off = ♪ no
sound-named-on = Sonido de las alarmas, activado
sound-named-off = Sonido de las alarmas, desactivado

# --- news.js: el registro, cada línea con la clase de lo que pasó

news-done = hecho
news-moved = avance
news-interlock = enclavamiento
news-refused = rechazado
news-seen = visto
news-instructor = instructor
news-exercise = ejercicio
news-found = hallado
news-list = Registro, lo más nuevo primero
news-title = Registro
