# Español.

title = Dos piezas en un alojamiento (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm. El turno anterior al suyo ha colocado los portapiezas y ha dejado una nota: 15 piezas, sin firmar. La receta está cargada. Lleve el lote hasta el final.
practise = Practicar el recuento propio, con un dedo en cada pieza, diga lo que diga una nota.
expected-count = Cuenta personalmente. Para ello se desbloquea y se abre el resguardo.
expected-cure = Hace sacar la pieza doble.
expected-recount = Cuenta otra vez. Solo vale un recuento posterior al cambio.
expected-confirm = Confirma 15 piezas.
expected-start = Arranca el ciclo, con el resguardo cerrado y bloqueado.
expected-complete = Lleva el ciclo hasta el final.
expected-unload = Saca las piezas y las hace medir.
forbidden-believed = Se confirmó un recuento que el operario no había comprobado: una nota no cuenta nada.
forbidden-blind-start = Una pieza estaba sobre otra. El plato la encontró primero, y ella habría soportado toda la carga.
