# Español.

title = Se rompe un hilo de la parada de emergencia (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm. Los portapiezas y las piezas están dentro, hay 15 contadas y la receta está cargada. Confirme el recuento y arranque. Si la máquina se para sola: averigüe por qué, hágalo arreglar, compruebe la parada de emergencia, devuelva la máquina a la posición inicial, saque las piezas y hágalas medir.
practise = Practicar la vuelta a la posición inicial desde Abortada, y el rearme de un circuito de dos canales: arreglar, pulsar, desenclavar, Rearmar.
expected-confirm = Confirma el recuento.
expected-start = Arranca el ciclo.
expected-acknowledge = Reconoce y lee. Nadie ha pulsado: los dos canales no coinciden, así que un canal ha fallado, y se cortó la alimentación.
expected-cure = Hace arreglar el canal B, en reposo.
expected-press = Pulsa el pulsador: se debe ver que ambos canales se abren.
expected-release = Desenclava el pulsador: se debe ver que ambos canales se cierran.
expected-reset = Rearma las alarmas memorizadas, ahora que el circuito está comprobado.
expected-raise = Eleva el plato y lo separa de las piezas.
expected-home = Devuelve la máquina a Inactiva con Rearmar.
expected-unload = Saca las piezas y las hace medir.
forbidden-blind-reset = Dos canales que no han coincidido se deben ver abrirse y cerrarse ambos antes de Rearmar: uno soldado quedaría sin ver.
forbidden-reach-in = Tras una parada de categoría 0 los platos giran por inercia, sin alimentación. El resguardo sigue cerrado hasta que se comprueba el reposo.
