# Español.

title = Platos fuera de forma: las coronas giran según lo comunicado (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm, ± 3 µm. La máquina está inactiva y vacía; los portapiezas y las piezas están al lado. Un compañero ha puesto la regla de precisión sobre los platos: el borde interior del inferior está 2,4 µm más alto que su borde exterior; el del superior, 1,8 µm más bajo. Esta receta, en la posición 1, hace que las coronas desgasten esa diferencia, si se le comunica. + es convexo: el borde interior más alto, hacia las piezas.
practise = Practicar la comunicación de la forma de ambos platos antes de un arranque, y qué sentido es convexo: un signo equivocado desgasta los platos aún más fuera de forma.
expected-load = Coloca los portapiezas.
expected-count = Cuenta las piezas.
expected-recall = Carga la receta de la orden de trabajo: posición 1.
expected-report = Comunica la forma de ambos platos: el inferior convexo, el superior cóncavo. El controlador invierte las coronas.
expected-confirm = Confirma 15 piezas.
expected-complete = Lleva el ciclo hasta el final.
expected-unload = Saca las piezas y las hace medir.
forbidden-unreported = Se arrancó el ciclo con platos cuya forma no se había comunicado, o no como es: las coronas giraron como está programado, o al revés, y los platos se desgastaron aún más fuera de forma.
forbidden-uncounted = Nadie arranca un ciclo con piezas que nadie ha contado: una pieza doble se rompe.
