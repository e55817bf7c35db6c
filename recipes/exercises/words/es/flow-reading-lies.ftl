# Español.

title = La lectura de caudal se mantiene y no llega lechada (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm. Los portapiezas y las piezas están dentro, hay 15 contadas y la receta está cargada. Confirme el recuento y arranque. Recuerde la regla de este taller: desde la primera meseta alguien mira la propia lechada al menos cada medio minuto, porque una lectura no es lechada. Si algo va mal, ponga el ciclo en pausa mientras el intersticio está todavía mojado: la película dura unos 40 s. Haga arreglar todo lo que esté mal, también la lectura, y termine el lote.
practise = Practicar la observación de la propia lechada en la meseta, y vigilar el par de los platos: sube cuando el intersticio se seca.
expected-confirm = Confirma el recuento.
expected-start = Arranca el ciclo.
expected-look = Mira depósito, agitador y línea en la meseta. La lectura muestra caudal, y la manguera está obstruida.
expected-hold = Pone el ciclo en pausa mientras el intersticio está todavía mojado. Los platos frenan sin daño.
expected-clear = Hace desatascar la línea.
expected-reading = Hace arreglar la lectura de caudal. Mostraba caudal donde no lo había.
expected-complete = Reanuda y lleva el ciclo hasta el final.
expected-unload = Saca las piezas y las hace medir. También se revisan los platos.
forbidden-blind-restart = La línea seguía obstruida: los platos girarían en seco y se rayarían.
