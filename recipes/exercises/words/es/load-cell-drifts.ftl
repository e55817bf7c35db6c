# Español.

title = La célula de carga deriva y no salta ninguna alarma (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm. Los portapiezas y las piezas están dentro, hay 15 contadas y la receta está cargada. Recuerde la regla de este taller: siempre que el plato cuelga libre o está estacionado, el indicador de carga debe estar a cero, con un margen de 5 N. El lote siguiente espera: entregue una máquina que esté en condiciones para él.
practise = Practicar la observación del indicador de carga cada vez que el plato ha dejado las piezas: debe estar a cero.
expected-confirm = Confirma el recuento.
expected-start = Arranca el ciclo.
expected-cure = Hace atender la célula de carga. Con el plato estacionado, el indicador muestra unos 57 N que no presionan nada; en la meseta también la cota y el par eran bajos.
expected-complete = Lleva el ciclo hasta el final. Lo termina el medidor de cota, así que la cota es correcta de todos modos.
expected-unload = Saca las piezas y las hace medir: se presionaron con una carga distinta de la que decía el panel.
forbidden-next-batch = El indicador no estaba a cero: la célula estaba mal, y no se puede creer ninguna carga que muestre. El controlador rechaza su tara.
forbidden-hands-over = Se colocaron las piezas siguientes en una máquina cuya célula de carga está mal.
