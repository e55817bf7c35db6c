# Español.

title = Revisar los platos con una regla de precisión y repasarlos (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm, con una planitud de 5 µm. Antes del lote se revisan los platos: ponga la regla de precisión sobre ambos. En este taller los platos trabajan con no más de 3 µm de falta de planitud; lo que pasa de ahí se repasa con los anillos de acondicionamiento y se vuelve a revisar. Comunique la forma que haya leído la última vez, en µm: + donde el borde interior está más alto. Después lapee. La máquina está inactiva y vacía; la receta está en la posición 1.
practise = Practicar la medición de los platos antes y después, y comunicar lo último que se leyó, con su signo, dentro de 1 µm.
expected-look = Pone la regla de precisión sobre ambos platos.
expected-dress = Acondiciona los platos: están más de 3 µm fuera de forma.
expected-again = Pone otra vez la regla de precisión. Muestra hasta dónde llegaron los anillos.
expected-recall = Carga la receta de la orden de trabajo: posición 1.
expected-report = Comunica la forma de ambos platos. Vale lo último que se leyó, con su signo.
expected-load = Coloca los portapiezas cuando los platos están bien.
expected-count = Cuenta las piezas en su sitio.
expected-confirm = Confirma 15 piezas.
expected-complete = Lleva el ciclo hasta el final.
expected-unload = Saca las piezas y las hace medir.
forbidden-unlooked = Se arrancó el ciclo con platos que nadie había revisado.
forbidden-undressed = Se arrancó el ciclo con platos más fuera de forma de lo que permite el taller: las piezas toman la forma de los platos.
forbidden-blind-dress = Se repasaron platos que nadie había revisado: acondicionar saca de forma los que están bien.
forbidden-unproven = Nadie había mirado qué había hecho el acondicionamiento.
