# acts: las palabras de esta sala. Mensajes en el orden del código que los pide.

# Lo que se hace. Una acción es un título corto sin punto final.
act-press-emergency-stop = Parada de emergencia pulsada
act-release-emergency-stop = Parada de emergencia desenclavada
act-unlock-guard = Resguardo: desbloquear
act-lock-guard = Resguardo: bloquear
act-open-guard = Resguardo abierto
act-close-guard = Resguardo cerrado
act-load-carriers = Portapiezas y piezas colocados
act-unload-carriers = Portapiezas y piezas sacados
act-count-parts = Piezas contadas
act-lay-flat = Plano óptico puesto
act-check-slurry = Lechada, agitador y línea revisados
act-raise = Elevar
act-acknowledge = Alarmas reconocidas
act-understood = Entendido
act-measure-parts =
    { $parts ->
        [one] Una pieza medida en cinco puntos
       *[other] { $parts } piezas medidas en cinco puntos
    }
# El juicio es una de las palabras de la máquina: "aceptadas: pueden seguir", "rechazadas: demasiado gruesas".
act-judge-parts = Piezas { $verdict }
act-confirm-parts =
    { $pieces ->
        [one] Confirmado: { $pieces } pieza
       *[other] Confirmado: { $pieces } piezas
    }
act-recall-recipe = Receta cargada de la posición { $slot }
act-set-mode = Modo: { $mode }
act-setup-key-on = Llave de Ajuste girada
act-setup-key-off = Llave de Ajuste quitada
act-select-move = Movimiento de Ajuste: { $movement }
act-hold-to-run = Mando sensitivo accionado
act-let-go = Mando sensitivo soltado
act-diagnose-nothing = Diagnóstico: nada
act-diagnose = Diagnóstico: { $component }
act-remedy = Se hizo arreglar: { $component }
act-hand-over = Entregado: { $statement }
# Los números ya están escritos, con sus signos.
act-report-by-straightedge = Forma de los platos con regla de precisión: inferior { $lower }, superior { $upper }
act-report-by-bands = Forma de los platos por franjas: inferior { $lower }, superior { $upper }
act-report-form = Forma de los platos por { $by }: inferior { $lower }, superior { $upper }

# Lo que se hizo entre ciclos, igualmente.
done-lay-straightedge = Regla de precisión puesta sobre ambos platos
done-condition-plates = Platos acondicionados
done-sample-slurry = Muestra de lechada tomada
done-mix-slurry = Lechada completada con sus granos
done-change-slurry = Lechada cambiada, depósito y línea enjuagados
done-wash-machine = Platos, portapiezas y coronas lavados
done-hang-lock = Alimentación y aire cortados, candado propio y tarjeta colgados
done-take-lock-off = Candado propio quitado, alimentación y aire de vuelta

# Maneras en que falla un componente, cada una detrás del nombre del componente y dos puntos.
failing-off = sin función
failing-stuck = atascado
failing-garbage = al azar
failing-wrong = incorrecto
failing-slow = lento
failing-delayed = retrasado
failing-intermittent = intermitente

# Cómo se arregla algo: qué (abajo), cuántos minutos y dónde.
remedy-outside = { $what } ({ $minutes } min, fuera del resguardo)
remedy-inside = { $what } ({ $minutes } min, resguardo abierto, plato estacionado)
remedy-regulator = hacer cambiar el regulador de presión
remedy-dump-valve = hacer cambiar la válvula de descarga
remedy-dump-feedback = hacer cambiar el interruptor de retorno de la válvula de descarga
remedy-counterbalance = hacer ajustar el regulador de la compensación de peso
remedy-rod-valve = hacer cambiar la válvula antirretorno del lado vástago
remedy-rod-switch = hacer cambiar el presostato del lado vástago
remedy-air-supply = hacer restablecer el suministro de aire
remedy-load-cell = hacer cambiar y comprobar la célula de carga y su amplificador
remedy-cap-transmitter = hacer cambiar el transmisor de presión del lado émbolo
remedy-height-transmitter = hacer cambiar el transmisor de altura
remedy-parking-pin = hacer reparar el pasador de estacionamiento
remedy-swing-arm = hacer ajustar el interruptor del brazo giratorio
remedy-emergency-stop-a = hacer reparar el canal A de la parada de emergencia
remedy-emergency-stop-b = hacer reparar el canal B de la parada de emergencia
remedy-guard-a = hacer reparar el canal A del interruptor del resguardo
remedy-guard-b = hacer reparar el canal B del interruptor del resguardo
remedy-guard-lock = hacer reparar el bloqueo del resguardo
remedy-drive-inner = hacer revisar el accionamiento de la corona interior y rearmar su disparo
remedy-drive-outer = hacer revisar el accionamiento de la corona exterior y rearmar su disparo
remedy-drive-lower = hacer revisar el accionamiento del plato inferior y rearmar su disparo
remedy-drive-upper = hacer revisar el accionamiento del plato superior y rearmar su disparo
remedy-pump = hacer reparar la bomba de lechada
remedy-slurry-line = hacer desatascar y enjuagar la línea de lechada
remedy-flow-switch = hacer cambiar el caudalímetro
remedy-agitator = hacer arreglar el agitador y encenderlo en el depósito
remedy-tank-level = hacer cambiar el transmisor de nivel
remedy-rinse-water = hacer restablecer el agua de enjuague
remedy-cooling = hacer restablecer la refrigeración de los platos
remedy-temperature-lower = hacer cambiar el sensor de temperatura del plato inferior
remedy-temperature-upper = hacer cambiar el sensor de temperatura del plato superior
remedy-gauge = hacer arreglar el medidor de cota
remedy-parts = hacer liberar o colocar bien las piezas, según el procedimiento seguro de esta máquina
remedy-drive-dog = hacer arreglar el arrastrador del plato superior
remedy-tick = hacer revisar el controlador

# Lo que hace un operario entre ciclos, dicho como los remedios de arriba.
task-lay-straightedge = poner la regla de precisión sobre ambos platos
task-condition-plates = colocar los anillos de acondicionamiento, cerrar el resguardo, desgastar ambos platos hasta que sean planos
task-sample-slurry = tomar una muestra de la lechada
task-mix-slurry = completar la lechada con sus granos
task-change-slurry = cambiar la lechada, enjuagar depósito y línea
task-wash-machine = lavar platos, portapiezas y coronas
task-hang-lock = cortar la alimentación y el aire, colgar el candado propio y la tarjeta
task-take-lock-off = quitar el candado propio, devolver la alimentación y el aire

# El intento.
attempt-broken-off = El intento se interrumpe aquí: { $why }.
# Por qué no se puede llegar a un controlador; va detrás de dos puntos, antes de un punto final.
port-lost = se perdió la conexión con el controlador en { $at }; compruebe que está en marcha y empiece de nuevo la ejecución
port-timeout = el controlador en { $at } no respondió a un ciclo de control en { $waited } ms; compruebe que no está parado en un depurador y que nada más ocupa la línea
port-protocol = el controlador en { $at } respondió con { $what }; compruebe que ambos lados se construyeron de la misma versión
# Por qué se rechaza algo empieza con minúscula y no lleva punto final: va detrás de dos puntos.
attempt-over = el intento ha terminado
attempt-full = más acciones de las que caben en un intento
act-refused = { $act }: rechazado: { $why }
attempt-time-up = Se ha acabado el tiempo del ejercicio.
cannot-go-back = el controlador de esta sesión no puede volver atrás en el tiempo: empezar una sesión nueva
attempt-went-back = Se volvió a { $seconds } s.

# Fallos que pone un instructor.
fault-unknown-mode = `{ $mode }` no es una manera de fallar
unknown-component = `{ $component }` no es un componente; uno de { $known }
instructed-put-right = { $component }: arreglado
fault-unsupported = { $component } no puede fallar como '{ $mode }'; puede ser: { $known }
fault-magnitude = la magnitud { $given } de { $component } '{ $mode }' no se puede usar; indicar { $wanted }
fault-plate-down = las piezas solo se pueden colocar mal mientras el plato no está sobre ellas; iniciar este fallo antes del contacto o después de la elevación
magnitude-finite = un número finito en la unidad de la tabla
magnitude-time = más de 0 s y como máximo 600 s
magnitude-count = una cantidad de al menos 1

# Cómo va el ejercicio, dicho sobre la marcha.
progress-done = Hecho: { $what }
progress-late = Hecho, pero tarde: { $what }
progress-missed = No hecho a tiempo: { $what }
progress-wrong = Así no: { $what }. { $why }

# Tareas entre ciclos: por qué no se puede empezar una.
unknown-task = `{ $task }` no es una tarea; una de { $known }
tend-held = hay un ciclo en pausa: ponerle fin antes, con el plato estacionado
tend-lock-hangs = su candado ya está colgado allí
tend-no-lock = ningún candado suyo cuelga de la máquina
tend-lock-holds = hacen falta los accionamientos o la bomba, y su candado los mantiene cortados
tend-loaded = hay portapiezas con piezas sobre el plato: sacarlos antes
tend-no-rings = no hay anillos de acondicionamiento para esta máquina
tend-not-shut = para ello los platos giran bajo carga: cerrar y bloquear el resguardo

# En qué quedaron.
tended-condition-plates = Ambos platos están acondicionados. Poner sobre ellos la regla de precisión para ver qué se ha logrado.
tended-mix-slurry = La lechada está completada con los granos de la receta. Los granos gastados siguen en ella.
tended-change-slurry = El depósito y la línea están vaciados, enjuagados y llenos de lechada nueva.
tended-wash-machine = Los platos, los portapiezas y las coronas están lavados.
tended-hang-lock = El seccionador de los accionamientos está abierto, y el aire está cortado en su válvula y despresurizado detrás de ella; su candado y su tarjeta cuelgan de ambos. El panel y los indicadores conservan su alimentación. Compruébelo antes de meter la mano: resguardo cerrado y bloqueado, pulse Arrancar y vea que nada se mueve.
tended-take-lock-off = Su candado está quitado; la alimentación y el aire han vuelto.
straightedge-lower = borde interior { $amount } más bajo que el borde exterior
straightedge-higher = borde interior { $amount } más alto que el borde exterior
tended-straightedge = Con la regla de precisión: plato inferior: { $lower }; plato superior: { $upper }. Más alto es hacia las piezas.
sample-sharp = La lechada tiene un { $percent } % en peso de granos. Bajo la lupa son afilados.
sample-rounded = La lechada tiene un { $percent } % en peso de granos. Bajo la lupa tienen las aristas redondeadas.
sample-worn = La lechada tiene un { $percent } % en peso de granos. Bajo la lupa están gastados y redondos.
sample-coarse = Algunos o todos son varias veces más grandes que los de la receta.
sample-dark = La lechada está oscura de virutas.

# Alguien está trabajando. Lo que está en curso es un remedio o una tarea, como arriba.
work-being-put-right = Arreglo en curso: { $what }
work-under-way = En curso: { $what }
work-no-diagnosis = decir antes qué se cree que va mal, luego hacerlo arreglar
remedy-under-way = En curso: { $what }. Cortar, bloquear con candado, comprobar la ausencia de energía; quien lo hace está formado para ello.
work-not-at-rest = la máquina no está en reposo: nada se le hace mientras algo pueda moverse
work-locked-off = alguien trabaja en ella ({ $what }) y la ha bloqueado con candado
work-nothing-wrong = { $component }: revisado, y no había nada mal.
work-put-right = { $component }: arreglado.

# Una línea del libro de turno, detrás de la orden de trabajo.
shift-book = Libro de turno: { $line }
