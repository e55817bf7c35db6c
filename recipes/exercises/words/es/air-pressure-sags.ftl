# Español.

title = La presión de aire cae en la meseta (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm. Los portapiezas y las piezas están dentro, hay 15 contadas y la receta está cargada. Confirme el recuento y arranque. Hoy se está purgando otra máquina de la misma línea de aire. Si la máquina se para: haga arreglar la causa, devuelva la máquina a la posición inicial y termine el lote; el medidor pone fin al paso, así que tras una parada en húmedo se puede arrancar de nuevo con las mismas piezas.
practise = Practicar la espera del aire antes de mover nada: el plato está seguro donde descansa.
expected-confirm = Confirma el recuento.
expected-start = Arranca el ciclo.
expected-acknowledge = Reconoce y lee la alarma. El suministro de aire es demasiado bajo; la máquina se para sola, en húmedo.
expected-cure = Hace arreglar el suministro de aire. El indicador del suministro vuelve a 6 bar.
expected-raise = Eleva el plato, con aire que lo sostenga.
expected-home = Devuelve la máquina a Inactiva con Rearmar.
expected-complete = Confirma, arranca de nuevo y termina el lote.
expected-unload = Saca las piezas y las hace medir.
forbidden-blind-raise = No hay aire que sostenga el plato. Donde descansa está seguro; en el aire se quedaría a medio camino.
forbidden-blind-start = No había aire con que presionar: primero la causa, después el arranque.
forbidden-reach-in = Los platos todavía giran. El resguardo sigue cerrado hasta que se comprueba el reposo.
