# session: las palabras de esta sala. Mensajes en el orden del código que los pide.

## Qué viene después (advice.rs): la línea del panel

# $doing: lo que está en curso, una línea entera sin su punto final. $minutes: un número entero
advice-at-work = { $doing }. Máquina bloqueada con candado { $minutes } min como máximo.
advice-locked-out = Su candado mantiene la máquina sin energía. Quitarlo en último lugar, cuando no haya nadie cerca.
advice-estop = La parada de emergencia está pulsada. Desenclavarla cuando nadie esté en peligro y la causa haya desaparecido.
advice-setup = Ajuste: elegir un movimiento y mantener accionado el mando sensitivo. Al terminar, Automático y quitar la llave.
advice-plate-change = Cambio de plato: Automático cuando los platos estén montados.
# Detrás de lo que hay que hacer ante una fila
advice-then-reset = Luego Rearmar.
advice-standstill = Espera el reposo.
# Detrás de lo que se podría hacer a continuación
advice-but-only = Pero solo cuando la causa de la fila { $row } ({ $name }) se haya encontrado y arreglado.
advice-held = Pausada: Reanudar sigue, Parar pone fin al lote.
advice-home = Rearmar devuelve la máquina a la posición inicial.
advice-raise = Elevar el plato.
# Piezas en el banco que nadie ha juzgado
advice-unjudged = Hay piezas en el banco: medirlas, poner el plano óptico y juzgarlas.
advice-batch-ends = Rearmar pone fin al lote.
advice-take-out = Sacar las piezas.
advice-take-out-measure = Sacar las piezas y hacerlas medir.
advice-not-parked = El plato no está estacionado. Elevarlo en Ajuste.
advice-recall = Cargar la receta de la orden de trabajo.
advice-rejected = Las piezas se rechazaron. Colocar otras cuando la causa se haya encontrado y arreglado.
advice-lay-in = Colocar los portapiezas con sus piezas.
advice-count = Contar las piezas en su sitio, si nadie lo ha hecho, y confirmar el recuento.
advice-count-again = Se confirmaron { $confirmed }, y la receta es para { $wanted }: contar otra vez.
advice-check-slurry = Revisar depósito, agitador y línea.
advice-start-counted = Arrancar, si las piezas se contaron en su sitio.
advice-report-form = Comunicar la forma de los platos, si se midió; luego Arrancar.
advice-start-recipe = Arrancar, si { $recipe } es la receta de la orden de trabajo.
advice-start = Arrancar.
advice-vent = Espera el reposo y que el cilindro se despresurice.
advice-unlock = Desbloquear el resguardo.
advice-open = Abrir el resguardo.
advice-close = Comprobar que no hay nadie cerca y cerrar el resguardo.
advice-lock = Bloquear el resguardo.

## Lo que espera una máquina en marcha (words.rs)

waits-coast = Espera que los accionamientos giren por inercia hasta el reposo.
waits-rest = Espera que la máquina llegue al reposo.
waits-precheck = Espera todo lo que se debe comprobar antes de que algo se mueva.
waits-lower = Espera que el plato baje hasta las piezas.
waits-touch-down = Espera que se asiente la carga inicial.
waits-slurry-prestart = Espera que fluya la lechada y que el intersticio esté mojado.
waits-run-up = Espera que los cuatro accionamientos alcancen juntos su velocidad.
waits-load-ramp = Espera que la carga llegue a la consigna del paso.
waits-dwell = Espera el fin del paso: su tiempo, su arranque de material o su cota.
waits-load-release = Espera que la carga baje hasta la carga inicial.
waits-rinse = Espera el fin del enjuague.
waits-run-down = Espera que los accionamientos lleguen al reposo.
waits-slurry-stop = Espera que la línea deje de fluir.
waits-lift = Espera que el plato esté elevado y sujeto por su pasador.
waits-manual = Espera que se suelte el mando sensitivo.

# Lo que hace cada categoría de parada (IEC 60204-1)
stop-category-0 = corte inmediato de la alimentación
stop-category-1 = hasta el reposo, luego corte de la alimentación
stop-category-2 = hasta el reposo, la carga sigue regulada
# Una alarma reconocida y desaparecida, cuya fila espera un Rearmar (ANSI/ISA-18.2: memorizada)
alarm-is-latched = memorizada: exige Rearmar

## Lo que ha traído un ciclo de control (ticks.rs)

told-power-away = La alimentación se había ido. El controlador ha arrancado de nuevo y no sabe nada de las piezas.
told-mode = Modo: { $mode }
# Adonde ha llegado el controlador: $state y $phase son las palabras de la máquina
told-phase = { $state }: { $phase }
told-step = { $state }: { $phase }, paso { $step }
# $items: lo que echa en falta el chequeo, con comas entre medias
told-missing = No está lista para arrancar. Falta: { $items }.
told-reset = Rearmar: no queda ninguna alarma memorizada.
told-reset-left = { $left ->
    [one] Rearmar: queda { $left } alarma memorizada, su causa sigue ahí.
   *[other] Rearmar: quedan { $left } alarmas memorizadas, sus causas siguen ahí.
    }
# Sustituye al nombre de una fila que no se conoce
told-interlock = enclavamiento
told-departed = El ciclo se apartó de su curso: { $row } vino primero.
# Sustituye a lo que se hizo, donde no se sabe
told-controller-refused = El controlador no lo aceptó
# $what: lo que se hizo. $why empieza con minúscula
told-refused = { $what }: rechazado: { $why }

## La guía de un ejercicio guiado (guide.rs)

told-guide-step = Paso { $number } de { $of } hecho.

## Cómo giran las coronas, como lo muestra el panel (frame.rs)

rings-programmed = según programa
rings-reversed = invertidas
# $trim: con su signo
rings-trimmed = corregidas en { $trim } %
rings-reversed-trimmed = invertidas, corregidas en { $trim } %

## Lo que averiguan ojos y manos junto al panel (looks.rs)

refused-nothing-to-count = no hay portapiezas en la máquina: colocarlos antes
seen-pockets-filled = { $present } de { $pockets } alojamientos ocupados; cada pieza está bien asentada.
seen-pockets-empty = { $present } de { $pockets } alojamientos ocupados; vacíos: { $empty }.
seen-pockets-doubled = { $parts } piezas en { $pockets } alojamientos; alojamientos con dos piezas, una sobre otra: { $doubled }. No están bien asentadas.
# Frases de una línea: el depósito, que el abrasivo se ha asentado, el agitador, la línea
seen-tank = El depósito está al { $level } %.
seen-settled = El abrasivo se ha asentado: arriba, el depósito está claro.
seen-agitator-off = El interruptor del agitador en el depósito está apagado: no gira.
seen-agitator-blade = El motor del agitador gira, pero su pala está quieta.
seen-agitator-fits = El agitador gira a tirones.
seen-agitator-turns = El agitador gira.
seen-agitator-ready = El agitador está encendido en el depósito y gira con el ciclo.
seen-line-blocked = La manguera está tensa como un tambor y no sale nada de ella: obstruida.
seen-line-plug = Hay un tapón seco en el extremo de la línea.
seen-line-uneven = La lechada sale de forma irregular.
seen-line-runs = La lechada fluye como debe.
seen-line-clear = La línea está libre.

## Lo que se encuentra al sacar las piezas (found.rs)

# Va como $which en la línea de abajo, y sobre las imágenes
found-which = pieza { $part } (portapiezas { $carrier }, alojamiento { $pocket })
found-flat-laid = plano apoyado
found-flat-tipped = plano inclinado { $bands } franjas
# $faces: lo que se ve en ambas caras, con punto y coma entre medias
found-under-the-flat = Bajo el plano óptico, la peor es la { $which }: { $faces }.
found-untouched = Las piezas están como vinieron: nada las ha tocado.
found-unmeasured =
    { $whole ->
        [one] En el banco hay { $whole } pieza entera, sin medir. Medirla, poner el plano óptico y juzgarla.
       *[other] En el banco hay { $whole } piezas enteras, sin medir. Medirlas, poner el plano óptico y juzgarlas.
    }
# Todo menos $whole son cotas; $least y $target van sin su unidad, que sigue enseguida
found-measured =
    { $whole ->
        [one] { $whole } pieza entera medida: media { $mean }, de { $least } a { $most } (± { $uncertainty }), para { $target } ± { $tolerance }.
       *[other] { $whole } piezas enteras medidas: media { $mean }, de { $least } a { $most } (± { $uncertainty }), para { $target } ± { $tolerance }.
    }
found-off-size = Demasiado finas: { $under }; demasiado gruesas: { $over }.
found-scratched =
    { $parts ->
        [one] { $parts } rayada: líneas finas en sus caras, que el acabado no oculta.
       *[other] { $parts } rayadas: líneas finas en sus caras, que el acabado no oculta.
    }
found-cracked =
    { $parts ->
        [one] { $parts } agrietada: soportó más de lo que puede.
       *[other] { $parts } agrietadas: soportaron más de lo que pueden.
    }
found-scored = Los platos están rayados: giraron sin lechada entre ellos.
found-carriers = Hay portapiezas dañados: con dientes gastados o con marcas del plato.
found-no-marks = Ninguna grieta, ninguna marca en platos ni portapiezas.

## El operario inspecciona las piezas (inspect.rs)

refused-parts-to-measure =
    { $there ->
        [one] en el banco hay { $there } pieza entera: medir de 1 a { $there }
       *[other] en el banco hay { $there } piezas enteras: medir de 1 a { $there } de ellas
    }
# $sizes: cinco cotas, con punto y coma entre medias
found-readings = Pieza { $part } (portapiezas { $carrier }): { $sizes }.
refused-unknown-verdict = `{ $verdict }` no es un juicio; uno de { $known }
refused-gauge-room = en este ejercicio otros miden las piezas cuando se sacan
refused-no-parts = no hay piezas lapeadas en el banco: sacarlas antes de la máquina

## Manos en la máquina y su panel (hands.rs). Lo que se rechaza va detrás de dos puntos: minúscula, sin punto final

seen-locked-out = Nada se mueve: la alimentación eléctrica y el aire están cortados, y su candado los mantiene así.
refused-too-many-wait = ya hay { $acts } acciones esperando al controlador: dejar pasar el tiempo
refused-guard-locked = lo retiene el cerrojo del resguardo: desbloquearlo antes, donde está permitido, en reposo
refused-loaded = ya hay portapiezas con piezas en la máquina
refused-empty = no hay portapiezas en la máquina
refused-proves-nothing = nada se mueve, pero con el resguardo abierto eso no prueba nada de su candado: cerrar y bloquear el resguardo, luego pulsar
refused-unknown-statement = `{ $id }` no es nada que se pueda entregar aquí; una de: { $known }
refused-guard-shut = el resguardo está cerrado: desbloquearlo, luego abrirlo
refused-not-parked = el plato no está estacionado: nadie mete la mano bajo un plato que no está sujeto por su pasador
refused-no-such-slot = no hay receta en la posición { $slot }: ninguna posición tiene ese número; hay recetas en las posiciones 1 a { $last }
refused-empty-slot = no hay receta en la posición { $slot }: allí no hay nada guardado; hay recetas en las posiciones 1 a { $last }
# $why: en inglés; una memoria que falla
refused-unread-slot = no hay receta en la posición { $slot }: { $why }; hay recetas en las posiciones 1 a { $last }
refused-no-flatness-control = cargar antes una receta que mantenga planos los platos: ella dice con qué se comunica su forma
refused-other-than-straightedge = esta receta calcula en µm con la regla de precisión: comunicar esos
refused-other-than-bands = esta receta calcula en franjas de interferencia en las piezas: comunicar esas
seen-loaded = En la máquina hay portapiezas y piezas. Contarlas antes de cerrar el resguardo.
refused-unknown-mode = `{ $mode }` no es un modo; uno de { $known }
refused-unknown-movement = `{ $movement }` no es un movimiento; uno de { $known }

## El mando sensitivo (grip.rs)

# $why: uno de los de abajo
grip-in-vain = Mando sensitivo: nada se mueve: { $why }
# $time: en s o min
grip-lowers = Baja a velocidad lenta: { $time } hasta las piezas.
grip-not-setup = es para Ajuste, que no está elegido
grip-no-movement = no hay ningún movimiento elegido
grip-key-off = la llave de Ajuste está quitada
grip-guard = el resguardo no está cerrado y bloqueado
grip-not-reset = algo que paró la máquina no está rearmado
grip-row-not-reset = la fila { $row } ({ $name }) no está rearmada
grip-not-at-rest = la máquina no está todavía en reposo; soltar y accionar otra vez
grip-plate-up = el plato está arriba y sujeto por su pasador
grip-plate-down = el plato está abajo
grip-jog-dry = el plato descansa sobre las piezas, y nada gira en seco; elevarlo antes
grip-not-on-rings = el plato no está bajado sobre sus anillos
grip-no-recipe = no hay ninguna receta cargada
