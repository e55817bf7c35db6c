# Español.

title = Un compañero pulsa la parada de emergencia (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm. Los portapiezas y las piezas están dentro, hay 15 contadas y la receta está cargada. Confirme el recuento y arranque. Si alguien pulsa la parada de emergencia: deje que la máquina llegue al reposo y averigüe por qué se pulsó (aquí: se creyó que había un guante atrapado; no lo había); después desenclave, rearme, devuelva la máquina a la posición inicial y termine el lote.
practise = Practicar la regla de la parada de emergencia: reposo, razón, desenclavar, Rearmar; nada arranca solo.
expected-confirm = Confirma el recuento.
expected-start = Arranca el ciclo.
expected-acknowledge = Reconoce la alarma. La categoría de la parada se lee en el panel.
expected-release = Desenclava el pulsador. Para entonces la máquina está en reposo y se conoce la razón.
expected-reset = Rearma. Esto borra la alarma memorizada y no arranca nada.
expected-raise = Eleva el plato y lo separa de las piezas.
expected-home = Devuelve la máquina a Inactiva con Rearmar.
expected-complete = Confirma, arranca de nuevo y termina el lote.
expected-unload = Saca las piezas y las hace medir.
forbidden-early-release = Los platos todavía giraban, y nadie sabía por qué se había pulsado.
forbidden-blind-reset = El pulsador seguía pulsado: primero la razón, después desenclavarlo, después Rearmar.
forbidden-reach-in = Los platos todavía giran. El resguardo sigue cerrado hasta que se comprueba el reposo.
