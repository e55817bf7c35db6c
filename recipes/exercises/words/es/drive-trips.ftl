# Español.

title = Se dispara el accionamiento de la corona exterior (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm. Los portapiezas y las piezas están dentro, hay 15 contadas y la receta está cargada. Confirme el recuento y arranque. El electricista dice que el accionamiento de la corona exterior se ha estado calentando. Si un accionamiento se dispara, los portapiezas pueden romperse: haga arreglar el accionamiento, devuelva la máquina a la posición inicial, revise las piezas y los portapiezas, sáquelos y hágalos medir.
practise = Practicar la vuelta a la posición inicial tras un fallo de accionamiento, y revisar las piezas y los portapiezas antes de hacer otra cosa con ellos.
expected-confirm = Confirma el recuento.
expected-start = Arranca el ciclo.
expected-acknowledge = Reconoce y lee la alarma. Un accionamiento ha fallado, se alivia la carga y los demás frenan con él.
expected-cure = Hace arreglar el accionamiento, en reposo.
expected-reset = Rearma la alarma memorizada, ahora que el accionamiento está bien.
expected-raise = Eleva el plato y lo separa de las piezas.
expected-home = Devuelve la máquina a Inactiva con Rearmar.
expected-look = Revisa cada pieza y su alojamiento antes de mover nada.
expected-unload = Saca las piezas y las hace medir.
forbidden-blind-reset = El accionamiento sigue indicando su fallo: la alarma sigue memorizada. Primero la causa, después Rearmar.
forbidden-blind-raise = La alarma del accionamiento seguía memorizada: nada se mueve antes de que desaparezca la causa.
forbidden-reach-in = Los platos todavía giran, y la corona disparada gira por inercia. El resguardo sigue cerrado hasta que se comprueba el reposo.
