# Español.

title = Una pieza está torcida: su propio candado antes de meter la mano (inventado)
brief = En la máquina hay 15 discos de práctica, 538 µm, y la receta está cargada; un compañero vio que uno de ellos está torcido. Regla de la casa: contar y colocar se hace bajo el plato sujeto por su pasador, con el resguardo abierto; quien libera una pieza corta primero la alimentación eléctrica y el aire, pone su propio candado y su tarjeta, y comprueba con Arrancar, con el resguardo cerrado y bloqueado, que nada se mueve. Libérela según esa regla, quite su candado en último lugar y lleve el lote hasta el final. En una máquina real deciden las normas locales y el procedimiento de la propia máquina.
practise = Practicar el orden: ver, cortar, poner el candado, comprobar, liberar, mirar otra vez, todo despejado, quitar el candado.
expected-see = Abre el resguardo y cuenta, para ver dónde está cada pieza.
expected-lock = Corta la alimentación eléctrica y el aire, y los bloquea con candado. El candado propio y la tarjeta cuelgan allí.
expected-prove = Pulsa Arrancar, con el resguardo cerrado, para comprobar que nada se mueve. Un candado en el interruptor equivocado parece lo mismo.
expected-free = Hace colocar bien la pieza.
expected-count = Cuenta otra vez. Solo vale un recuento posterior al cambio.
expected-lock-off = Quita el candado propio, cuando ya no hay nadie dentro.
expected-confirm = Confirma 15 piezas.
expected-complete = Lleva el ciclo hasta el final.
expected-unload = Saca las piezas y las hace medir.
forbidden-no-lock = Una mano entró donde hay piezas atrapadas mientras había alimentación eléctrica y aire: quien arranca entonces la máquina no ve la mano.
forbidden-unproven = La pieza se liberó antes de que nadie comprobara que la máquina estaba sin energía: el candado puede estar en el interruptor equivocado.
forbidden-lock-off-early = El candado se quitó antes de liberar la pieza: solo protege mientras está puesto.
forbidden-blind-start = Se pulsó Arrancar con alimentación y una pieza torcida, para ver qué pasa.
