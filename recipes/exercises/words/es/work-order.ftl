# Español.

title = Una orden de trabajo y diez recetas guardadas para elegir (inventado)
brief = Orden de trabajo. Pieza: discos de práctica de vidrio, 50 mm. Piezas en bruto: 545 µm. Cota final: 538 µm ± 3 µm. Caras: Ra 0,35 µm o más fina, lapeadas con óxido de aluminio F800 en agua. Pasos: asentar, lapear y aflojar con no más de 165 N. Piezas: 15. La máquina está inactiva y vacía; los portapiezas y las piezas están al lado. Hay diez recetas guardadas, para esta y para otras órdenes; algunas se parecen, y algunas tienen el mismo título. Elija una en la lista y lea su ficha: título, lote, piezas y los pasos con sus cargas. Cargue la que coincida con la orden en todas las líneas, lapee las piezas y entréguelas medidas.
practise = Practicar el repaso de la orden de trabajo línea por línea, con un dedo en la ficha de la receta: pieza, pieza en bruto, cota final, abrasivo, piezas, pasos. Un título que suena bien no basta.
expected-load = Coloca los portapiezas.
expected-count = Cuenta las piezas.
expected-recall = Carga la receta de la orden de trabajo: posición 7. Solo ella coincide con la orden en lote, cota final, abrasivo, piezas y pasos.
expected-confirm = Confirma 15 piezas, las contadas y las pedidas.
expected-complete = Lleva el ciclo hasta el final.
expected-unload = Saca las piezas y las hace medir.
forbidden-wrong-start = Se arrancó antes de cargar la receta de la orden de trabajo. La posición 2 solo difiere de ella en la cota final, la posición 5 en las piezas, la posición 4 en el grano, la posición 1 en el último paso: solo la ficha entera las distingue.
forbidden-swapped = Se cargó la receta de la orden de trabajo, y después otra en su lugar. Una ficha se puede leer en la lista sin cargar nada; las posiciones 1, 2, 4 y 5 difieren de la orden en una sola línea.
forbidden-uncounted = Nadie arranca un ciclo con piezas que nadie ha contado: una pieza doble se rompe.
forbidden-wrong-count = Se pidieron 15 piezas y están en los alojamientos. Si el controlador quiere otro número, la equivocada es la receta, no el recuento.
