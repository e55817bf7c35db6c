# Español.

title = La línea de lechada se obstruye mientras giran los platos (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm. Los portapiezas y las piezas están dentro; usted ha contado 15 y ha revisado la lechada, y la receta está cargada. Confirme el recuento y arranque. Si la máquina se para: averigüe por qué, hágalo arreglar, devuelva la máquina a la posición inicial y termine el lote. El medidor pone fin al paso, así que tras una parada en húmedo se puede arrancar de nuevo con las mismas piezas.
practise = Practicar la lectura de la alarma en primer lugar, y mirar depósito, agitador y línea antes de arreglar nada.
expected-confirm = Confirma el recuento.
expected-start = Arranca el ciclo.
expected-acknowledge = Reconoce la alarma. Se lee: se perdió el caudal, y la máquina se para sola.
expected-look = Mira depósito, agitador y línea. La línea está obstruida.
expected-cure = Hace desatascar la línea. Antes de eso ningún arranque puede salir bien.
expected-raise = Eleva el plato y lo separa de las piezas. Primero Rearmar, después Elevar.
expected-home = Devuelve la máquina a Inactiva con Rearmar.
expected-complete = Confirma, arranca de nuevo y termina el lote.
expected-unload = Saca las piezas y las hace medir.
forbidden-blind-reset = Un rearme antes de encontrar la causa solo borra la lista. La línea sigue obstruida.
forbidden-blind-start = La línea sigue obstruida: los platos girarían en seco y se rayarían.
forbidden-reach-in = Los platos todavía giran. El resguardo sigue cerrado hasta que se comprueba el reposo.
