# Español.

title = Alguien ha dejado apagado el agitador (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm. El depósito se limpió antes de su turno. Los portapiezas y las piezas están dentro, hay 15 contadas y la receta está cargada. Compruebe si la máquina está lista; después confirme y arranque.
practise = Practicar la revisión de depósito, agitador y línea antes de cada arranque, sobre todo después de una limpieza.
expected-look = Revisa depósito, agitador y línea antes del arranque.
expected-switch-on = Hace encender el agitador en el depósito.
expected-confirm = Confirma el recuento.
expected-start = Arranca el ciclo con el agitador encendido.
expected-complete = Lleva el ciclo hasta el final.
expected-unload = Saca las piezas y las hace medir.
forbidden-blind-start = El agitador estaba apagado: el abrasivo se asienta, y el agua clara no lapea. El controlador lo rechaza en su chequeo y se para.
