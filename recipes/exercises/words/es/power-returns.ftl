# Español.

title = La alimentación se fue en plena meseta y vuelve (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm. Los portapiezas y las piezas están dentro, hay 15 contadas y la receta está cargada. Confirme el recuento y arranque. Si falla la alimentación: nadie sabe por lo que han pasado las piezas. Devuelva la máquina a la posición inicial, saque las piezas, hágalas medir, y deje la máquina vacía y cerrada; lo demás lo decide el jefe de turno.
practise = Practicar lo que sabe un controlador que se enciende de nuevo: nada. Elevar, Rearmar, sacar las piezas, medir.
expected-confirm = Confirma el recuento.
expected-start = Arranca el ciclo.
expected-raise = Eleva el plato y lo separa de las piezas. El controlador está en Parada y no arranca nada por sí solo.
expected-home = Devuelve la máquina a Inactiva con Rearmar.
expected-look = Revisa la lechada y el agitador. Estuvieron parados mientras faltaba la alimentación.
expected-unload = Saca las piezas y las hace medir. Su estado se desconoce.
expected-shut = Cierra el resguardo y deja la máquina vacía.
forbidden-goes-on = Se quiso seguir el ciclo con piezas de las que nadie sabe por lo que han pasado.
forbidden-start-stopped = Cuando vuelve la alimentación no se arranca nada: el plato está sobre piezas a medio hacer.
