# review: el repaso, para leer en la página y en papel, y su línea de tiempo.


## El repaso

debrief-title = twinplate: formación, repaso
debrief-heading = twinplate · repaso
debrief-caution = Simulador de formación con máquinas y piezas inventadas, no es una función de seguridad. Quien lo domina ha dominado el simulador: los primeros ciclos en una máquina se hacen con alguien que la conoce, según las normas locales y con personal autorizado.

# Por qué no hay nada que mostrar: se dice en debrief-unread.
debrief-none = este intento no tiene repaso, porque no se terminó como es debido. Sus acciones están en los registros.
debrief-title-of = Repaso { $attempt }: { $title }, { $trainee }
debrief-unread = No se pudo leer el repaso del intento { $attempt }: { $why }

# Entre puntos: alumno, intento, cuándo empezó, cuánto duró, si se terminó.
debrief-attempt = intento { $attempt }
debrief-machine-time = { $time } de tiempo de máquina
debrief-not-finished = no terminado
debrief-passed = superado
debrief-not-passed = no superado
# Está debajo de "97 de 100" (debrief-points-of).
debrief-pass = puntos; se supera desde { $pass }
debrief-drawn = Sorteado para este intento: { $drawn }.

# Solo en papel.
debrief-signatures = Firmas
debrief-paper-of-run = Intento { $attempt }, ejercicio { $exercise }, semilla { $seed }, ejecución { $run }. Impreso: { $date }.
debrief-paper = Intento { $attempt }, ejercicio { $exercise }, semilla { $seed }. Impreso: { $date }.
debrief-trainee = Alumno: { $trainee }
debrief-instructor = Instructor, fecha

# Cuánto duró el intento por el reloj, cuántas veces se paró el tiempo y cuánto tiempo fue más deprisa.
debrief-clock-fast =
    { $pauses ->
        [0] { $lasted } por el reloj; el tiempo no se paró nunca; más deprisa que el reloj durante { $fast }.
        [1] { $lasted } por el reloj; el tiempo se paró una vez, durante { $paused }; más deprisa que el reloj durante { $fast }.
       *[other] { $lasted } por el reloj; el tiempo se paró { $pauses } veces, durante { $paused }; más deprisa que el reloj durante { $fast }.
    }
debrief-clock =
    { $pauses ->
        [0] { $lasted } por el reloj; el tiempo no se paró nunca.
        [1] { $lasted } por el reloj; el tiempo se paró una vez, durante { $paused }.
       *[other] { $lasted } por el reloj; el tiempo se paró { $pauses } veces, durante { $paused }.
    }
debrief-nothing = Nada en particular: pase al ejercicio siguiente.
debrief-practise = Qué practicar a continuación

# Los signos de la línea de tiempo.
debrief-load = carga medida
debrief-reference = referencia
debrief-limit = límite del paso
debrief-due = desde cuándo tocaba hasta cuándo se debía haber hecho
# De algo que se hizo; también la cabecera de la columna que dice cuándo.
debrief-done = hecho
debrief-undone = no hecho, o mal
debrief-happened = lo que pasó
debrief-line = Lo que se hizo, junto a lo que se debía haber hecho

debrief-points-of = { $points } de { $of }

# Lo que hace un buen operario: desde cuándo tocaba, hasta cuándo se debía hacer, cuándo se hizo, cuánto tardó, cómo se juzga.
debrief-number = N.º
debrief-good = Lo que hace un buen operario
debrief-due-at = desde
debrief-by = hasta
debrief-took = tardó
debrief-judged = juicio
debrief-points = puntos
debrief-steps = Paso a paso
debrief-table-steps = Tabla: paso a paso
debrief-not-called-for = no hizo falta
debrief-not-done = no hecho
debrief-late = tarde

# Segundos, con su unidad como está escrita aquí.
debrief-reaction-stopped = { $seconds } s, y { $stopped } s con el tiempo parado
debrief-cause = Causa
debrief-answer = Respuesta
debrief-seen = visto
debrief-answered = respondido
debrief-reaction = reacción
debrief-reactions = Tiempos de reacción
debrief-table-reactions = Tabla: tiempos de reacción

debrief-lost = Puntos perdidos
debrief-lost-none = Ninguno.
debrief-when = cuándo
debrief-what = qué
debrief-why = por qué importa
debrief-table-lost = Tabla: puntos perdidos

debrief-harm-points = { $text } (−{ $points } puntos)
debrief-no-harm = No se encontraron daños en las piezas, los platos ni los portapiezas.
debrief-harm = Daños y piezas
debrief-unmeasured = No se midió ninguna pieza: no se sacaron.
debrief-measured-broken =
    { $n ->
        [one] { $n } pieza medida, media { $mean }; se pedía { $target } ± { $tolerance }; rotas: { $broken }.
       *[other] { $n } piezas medidas, media { $mean }; se pedía { $target } ± { $tolerance }; rotas: { $broken }.
    }
debrief-measured =
    { $n ->
        [one] { $n } pieza medida, media { $mean }; se pedía { $target } ± { $tolerance }.
       *[other] { $n } piezas medidas, media { $mean }; se pedía { $target } ± { $tolerance }.
    }
debrief-picture = Piezas medidas, ordenadas, frente a la tolerancia

debrief-refused = rechazado: { $why }
debrief-all = Todo lo que se hizo
debrief-table-all = Tabla: todo lo que se hizo


## La línea de tiempo

line-picture = Línea de tiempo: fases y carga, lo que se debía haber hecho, lo que se hizo. Las tablas de abajo dicen lo mismo con palabras.
line-should = Se debía haber hecho
# Detrás de lo que se debía haber hecho, en la imagen.
line-not-done = (no hecho)
line-late = (tarde)
line-done = Hecho
