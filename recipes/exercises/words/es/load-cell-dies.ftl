# Español.

title = La célula de carga deja de funcionar en la meseta (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm. Los portapiezas y las piezas están dentro, hay 15 contadas y la receta está cargada. Confirme el recuento y arranque. Si algo falla: no vuelva a arrancar con estas piezas. Hágalo arreglar, devuelva la máquina a la posición inicial, saque las piezas y hágalas medir.
practise = Practicar la vuelta a la posición inicial desde Parada: causa arreglada, Rearmar, Elevar, Rearmar.
expected-confirm = Confirma el recuento.
expected-start = Arranca el ciclo.
expected-acknowledge = Reconoce y lee. La alarma nombra la célula; una carga muy superior a la que puede ejercer esta máquina es la célula muerta, no una carga.
expected-cure = Hace arreglar la célula de carga, en reposo.
expected-reset = Rearma las alarmas memorizadas, ahora que su causa ha desaparecido.
expected-raise = Eleva el plato y lo separa de las piezas.
expected-home = Devuelve la máquina a Inactiva con Rearmar.
expected-unload = Saca las piezas y las hace medir. Nadie conoce la carga del último momento.
forbidden-blind-reset = La célula sigue muerta: las alarmas siguen memorizadas. Primero la causa, después Rearmar.
forbidden-blind-raise = Sin célula nadie sabe si el plato descansa todavía sobre las piezas.
forbidden-reach-in = En una parada controlada los platos todavía están frenando. El resguardo sigue cerrado hasta que se comprueba el reposo.
