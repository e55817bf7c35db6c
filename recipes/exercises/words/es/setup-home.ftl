# Español.

title = De Parada a la posición inicial en Ajuste, guiado (inventado)
brief = Los portapiezas y las piezas están dentro, hay 15 contadas y la receta está cargada. Confirme el recuento y arranque; al cabo de un rato, el ajustador para el ciclo para mirar las piezas. Usted aprende a llevar el plato a la posición inicial a mano: en Ajuste, con la llave y con un mando que mueve el plato solo mientras usted lo mantiene accionado. Siga la guía.
practise = Practicar el orden de Ajuste: llave, modo, movimiento, mantener; y de vuelta: soltar, Automático, quitar la llave, Rearmar.
guide-1 = Confirme el recuento: 15 piezas.
guide-2 = Pulse Arrancar y observe las fases. El ajustador parará el ciclo en el segundo paso.
guide-3 = Espere. Una parada de categoría 1 alivia la carga de inmediato y frena los accionamientos en húmedo; el plato se queda sobre las piezas.
guide-4 = La máquina está en Parada: el plato descansa sobre las piezas, nada gira. Ajuste exige su llave. Gírela.
guide-5 = Cambie el modo a Ajuste. Allí las velocidades y la carga son reducidas, y todo se mueve solo mientras se mantiene accionado el mando sensitivo.
guide-6 = Elija el movimiento: elevar.
guide-7 = Mantenga accionado el mando sensitivo. El plato se separa primero despacio de las piezas y después sube. Mire la altura. Suéltelo entretanto si quiere: el plato se para donde está.
guide-8 = Siga manteniéndolo hasta que la altura se quede en 120 mm; tarda unos 25 s. Entonces suelte: el pasador toma el plato.
guide-9 = El plato está estacionado. Vuelva a poner el modo Automático.
guide-10 = Quite la llave. Quien tiene la llave tiene la máquina: no se queda en su cerradura.
guide-11 = Pulse Rearmar. Desde Parada lleva a Inactiva, porque el plato está estacionado y no hay ninguna alarma memorizada.
expected-confirm = Confirma el recuento.
expected-start = Arranca el ciclo.
expected-key = Gira la llave de Ajuste.
expected-setup = Cambia el modo a Ajuste.
expected-select = Elige el movimiento que eleva el plato.
expected-hold = Mantiene accionado el mando sensitivo. El plato sube solo mientras se mantiene.
expected-let-go = Suelta el mando. El plato se para donde está; arriba lo toma el pasador.
expected-automatic = Vuelve a poner el modo Automático.
expected-key-off = Gira de vuelta la llave de Ajuste y la saca.
expected-home = Devuelve la máquina a Inactiva con Rearmar.
forbidden-lowers = El plato debe subir: ya descansa sobre las piezas.
forbidden-jogs = Las piezas están a medio hacer entre los platos y no fluye lechada: allí no se gira nada.
