# Español.

title = Evaluación: un lote de discos de práctica (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm. Los portapiezas y las piezas están dentro, hay 15 contadas y la receta está cargada. Confirme el recuento, arranque y lleve el lote hasta el final, o la máquina a la posición inicial si eso ya no es posible; saque las piezas, hágalas medir y cierre el resguardo. Puede que algo salga mal, o que no. Si algo sale mal, diga qué cree que es antes de hacer arreglar nada.
