# Español.

title = Las piezas se pegan al plato elevado (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm. Los portapiezas y las piezas están dentro, hay 15 contadas y la receta está cargada. Confirme el recuento y arranque. Si cuelgan piezas del plato, hágalas liberar según el procedimiento seguro de la máquina (aquí: hacer arreglar las piezas) con el plato sostenido y el resguardo cerrado; después deje que siga el ciclo. En una máquina real, el procedimiento local y una persona autorizada deciden cómo se hace.
practise = Practicar lo que significa una pausa en el aire: nadie mete la mano bajo el plato; liberar, Rearmar, Reanudar.
expected-confirm = Confirma el recuento.
expected-start = Arranca el ciclo.
expected-acknowledge = Reconoce y lee la alarma. El plato se sostiene en el aire, y cuelgan piezas de él.
expected-free = Hace liberar las piezas según el procedimiento seguro. El plato está sostenido.
expected-reset = Rearma la alarma memorizada, ahora que no cuelga nada del plato. El indicador de carga vuelve a estar a cero.
expected-restart = Reanuda: el plato sigue subiendo.
expected-complete = Lleva el ciclo hasta el final, con el plato estacionado.
expected-unload = Saca las piezas y las hace medir.
forbidden-hands-under = El plato cuelga en el aire con piezas sueltas: debajo hay manos, portapiezas y piezas.
forbidden-blind-reset = Las piezas seguían colgadas del plato: un rearme no libera nada.
forbidden-blind-restart = El plato habría seguido subiendo con piezas colgadas, que caerían desde más alto.
