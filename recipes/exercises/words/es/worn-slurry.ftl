# Español.

title = La lechada del turno anterior: muestra, juicio, cambio (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm, ± 3 µm. La receta pide un 20 % en peso de granos F800. El turno anterior al suyo usó el depósito, y nadie anotó durante cuánto tiempo. La máquina está inactiva y vacía; los portapiezas y las piezas están al lado. Tome una muestra de la lechada, decida si se puede usar, si hay que completar sus granos o si hay que cambiarla, demuestre con otra muestra que está bien y después lapee.
practise = Practicar la toma de una muestra antes de decidir: si los granos son pocos, se pueden añadir; si están gastados, no se pueden afilar.
expected-sample = Toma una muestra de la lechada. Muestra el número de sus granos y sus aristas.
expected-change = La cambia: un 12 % se podría subir a un 20 %, pero los granos están gastados y redondos.
expected-again = Toma otra muestra: lo que se ha mezclado se demuestra, no se cree.
expected-load = Coloca los portapiezas.
expected-count = Cuenta las piezas en su sitio.
expected-recall = Carga la receta.
expected-confirm = Confirma 15 piezas.
expected-complete = Lleva el ciclo hasta el final.
expected-unload = Saca las piezas y las hace medir.
forbidden-blind-start = Se arrancó el ciclo con una lechada que nadie había mirado.
forbidden-worn-start = Se arrancó el ciclo con granos gastados: tarda varias veces más, y con ello aumentan el calor y el desgaste.
forbidden-thickened = Se añadieron granos a otros gastados: entonces el número es correcto, y los gastados no cortan mejor.
forbidden-blind-change = Se tiró un depósito del que nadie había tomado muestra: podía estar bien.
