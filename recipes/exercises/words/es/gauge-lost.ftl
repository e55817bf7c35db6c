# Español.

title = El medidor de cota se pierde en la meseta (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm, ± 3 µm. Los portapiezas y las piezas están dentro, hay 15 contadas y la receta está cargada. Confirme el recuento y arranque. El medidor de cota pone fin al último paso, tras unos 45 s. Sin él, el paso sigue hasta su tiempo máximo, tres minutos, y quita unos 0,1 µm cada segundo. Lo que se ha quitado, quitado está. Si el medidor falla, hágalo arreglar y termine el lote.
practise = Practicar Pausar: alivia la carga, para los platos en húmedo y conserva el paso, de modo que Reanudar sigue donde estaba.
expected-confirm = Confirma el recuento.
expected-start = Arranca el ciclo.
expected-acknowledge = Reconoce y lee la alarma. El medidor ha fallado, y el paso sigue por su tiempo.
expected-hold = Pone el ciclo en pausa antes de que las piezas sean demasiado finas. Desde la alarma hasta el límite inferior hay cerca de un minuto.
expected-cure = Hace arreglar el medidor. En Pausada los platos están quietos.
expected-restart = Reanuda. El ciclo sigue con lo que queda del paso.
expected-complete = Lleva el ciclo hasta el final, por el medidor.
expected-unload = Saca las piezas y las hace medir.
forbidden-blind-restart = El medidor seguía muerto: el paso habría seguido por su tiempo, más allá de la cota.
forbidden-thrown-away = No había peligro. Pausar conserva el paso; Abortar corta la alimentación y deja que los platos giren por inercia.
