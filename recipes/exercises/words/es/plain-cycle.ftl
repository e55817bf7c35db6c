# Español.

title = Un ciclo completo sin guía (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm. La receta está en la posición 1. La máquina está inactiva y vacía; los portapiezas y las piezas están al lado. Coloque, cuente, revise la lechada, cargue la receta, confirme, arranque y entregue las piezas medidas. Deje la máquina vacía y cerrada. Nadie le guiará.
practise = Practicar el primer ciclo guiado hasta que el orden salga solo: colocar, contar, cerrar, lechada, receta, confirmar, arrancar.
expected-load = Coloca los portapiezas. El resguardo está abierto y el plato, estacionado.
expected-count = Cuenta las piezas. Cada una debe estar bien asentada antes de cerrar el resguardo.
expected-slurry = Revisa la lechada y el agitador. Lo que se ha asentado no lapea.
expected-recall = Carga la receta de la orden de trabajo.
expected-confirm = Confirma 15 piezas. El recuento va con la receta: viene después de cargarla.
expected-start = Arranca el ciclo.
expected-complete = Lleva el ciclo hasta el final.
expected-unload = Saca las piezas y las hace medir.
expected-shut = Cierra el resguardo después del lote.
forbidden-uncounted = Nadie arranca un ciclo con piezas que nadie ha contado: una pieza doble se rompe.
forbidden-wrong-count = En los alojamientos van 15 piezas. El recuento que se confirma debe ser el que se ha encontrado.
forbidden-by-force = El resguardo está bloqueado porque la máquina se mueve. Pare primero la máquina y pida después que se desbloquee el resguardo.
forbidden-needless-stop = No pasaba nada malo. Un ciclo que se para deja piezas a medio hacer.
