# Español.

title = Hay piezas colgadas del plato antes del siguiente arranque (inventado)
brief = Orden de trabajo: lapear dos lotes de 15 discos de práctica a 538 µm, uno tras otro. Los portapiezas y las piezas del primero están dentro, hay 15 contadas y la receta está cargada. Si cuelgan piezas del plato elevado, hágalas liberar según el procedimiento seguro de la máquina (aquí: hacer arreglar las piezas) con el resguardo cerrado. En una máquina real, el procedimiento local y una persona autorizada deciden cómo se hace.
practise = Practicar lo que indica un arranque que se para en su chequeo: el plato no pesa lo que pesaba. Primero lo que cuelga, después Rearmar, contar, Arrancar.
expected-confirm = Confirma el recuento.
expected-start = Arranca el primer ciclo.
expected-unload = Saca las piezas y las hace medir.
expected-load = Coloca el lote siguiente.
expected-count = Lo cuenta.
expected-acknowledge = Reconoce y lee la alarma. El plato pesa más que en el primer arranque: el indicador de carga muestra lo que cuelga.
expected-free = Hace liberar las piezas según el procedimiento seguro. El resguardo está cerrado.
expected-reset = Rearma la alarma memorizada. Ya no cuelga nada del plato, y el indicador está a cero.
expected-again = Arranca el segundo ciclo.
expected-complete = Lo lleva hasta el final.
forbidden-hands-under = Cuelgan piezas del plato elevado y pueden caer: hay manos debajo.
forbidden-taken-as-new = Cambio de plato toma lo que cuelgue allí como peso del plato nuevo: con piezas en él, la carga del lote siguiente se habría desviado en el peso de ellas.
