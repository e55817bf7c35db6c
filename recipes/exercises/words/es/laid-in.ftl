# Español.

title = Un lote que ya está colocado (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm. Los portapiezas y las piezas están dentro, hay 15 contadas y la receta está cargada. Confirme el recuento, arranque, observe el ciclo hasta el final, saque las piezas y hágalas medir. Deje la máquina vacía y cerrada.
practise = Practicar un ciclo que otra persona ha colocado: confirmar, arrancar, observarlo hasta el final, sacar, cerrar.
expected-confirm = Confirma el recuento.
expected-start = Arranca el ciclo.
expected-complete = Lleva el ciclo hasta el final.
expected-unload = Saca las piezas y las hace medir.
expected-shut = Cierra el resguardo después del lote.
forbidden-wrong-count = Hay 15 piezas contadas. El recuento que se confirma debe ser el que se ha encontrado.
forbidden-by-force = El resguardo está bloqueado porque la máquina se mueve. Pare primero la máquina y pida después que se desbloquee el resguardo.
forbidden-needless-hold = No pasaba nada malo: una pausa cuesta minutos, y la lechada se asienta.
forbidden-needless-stop = No pasaba nada malo. Un ciclo que se para deja piezas a medio hacer.
