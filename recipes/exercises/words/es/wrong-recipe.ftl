# Español.

title = La receta del lote equivocado: tres que se parecen (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm, ± 3 µm. La máquina está inactiva y vacía; los portapiezas y las piezas están al lado. La posición 1 contiene lo último que se hizo: discos de práctica finos, 528 µm. Los gruesos, 542 µm, están en la posición 3. Las piezas en bruto se parecen. Mire el lote y la cota final de una receta antes de arrancar con ella.
practise = Practicar la comparación del lote y la cota final de la receta cargada con la orden de trabajo, y no solo del número de piezas.
expected-load = Coloca los portapiezas.
expected-count = Cuenta las piezas.
expected-recall = Carga la receta de la orden de trabajo: posición 2.
expected-confirm = Confirma 15 piezas.
expected-complete = Lleva el ciclo hasta el final.
expected-unload = Saca las piezas y las hace medir.
forbidden-wrong-start = Se arrancó el ciclo con una receta que no era la de la orden de trabajo. El número de piezas es el mismo, la cota no.
forbidden-uncounted = Nadie arranca un ciclo con piezas que nadie ha contado: una pieza doble se rompe.
