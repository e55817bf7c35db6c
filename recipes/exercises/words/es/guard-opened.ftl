# Español.

title = Abren el resguardo a la fuerza mientras giran los platos (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm. Los portapiezas y las piezas están dentro, hay 15 contadas y la receta está cargada. Confirme el recuento y arranque. Hoy hay visitas en la nave. Si alguien consigue abrir el resguardo: compruebe que no hay nadie cerca, ciérrelo, haga arreglar su bloqueo, devuelva la máquina a la posición inicial y termine el lote. Esta máquina es simulada; en una real, un resguardo cuyo bloqueo no sujeta se retira del servicio hasta que una persona autorizada dé el visto bueno.
practise = Practicar el orden tras un resguardo abierto: cerrarlo, bloqueo arreglado, Rearmar, Elevar, Rearmar.
expected-confirm = Confirma el recuento.
expected-start = Arranca el ciclo.
expected-acknowledge = Reconoce y lee la alarma. El resguardo se abrió, y la máquina se para sola.
expected-shut = Cierra el resguardo en cuanto no hay nadie cerca.
expected-cure = Hace arreglar el bloqueo. Un cerrojo que no sujeta tampoco sujetará la próxima vez.
expected-reset = Rearma la alarma memorizada, con el resguardo cerrado y bloqueado.
expected-raise = Eleva el plato y lo separa de las piezas.
expected-home = Devuelve la máquina a Inactiva con Rearmar.
expected-complete = Confirma, arranca de nuevo y termina el lote.
expected-unload = Saca las piezas y las hace medir.
forbidden-open-reset = El resguardo seguía abierto. Ciérrelo primero: no se prepara nada con las manos de alguien al alcance.
forbidden-open-raise = El resguardo seguía abierto: no se mueve nada con las manos de alguien al alcance.
forbidden-hands-in = Nadie mete la mano entre platos que solo descansan uno sobre otro. Primero se eleva y se estaciona el plato.
forbidden-lock-broken = El bloqueo seguía averiado: el resguardo se podía volver a abrir a la fuerza en cualquier momento.
