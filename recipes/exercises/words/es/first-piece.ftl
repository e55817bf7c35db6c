# Español.

title = Primeras piezas de una serie: medir, juzgar y averiguar por qué (inventado)
brief = Orden de trabajo: primeras piezas de una serie de discos de práctica, 538 µm ± 3 µm, con una diferencia de espesor dentro de una pieza de no más de 2 µm y caras planas hasta 5 µm (17 franjas de interferencia). En la máquina hay 15 piezas contadas y la receta está cargada. Confírmelas, lapéelas, sáquelas, mida al menos tres en cinco puntos, ponga el plano óptico y júzguelas. Nada de la serie sigue adelante sin una primera pieza buena. Si no son buenas, averigüe por qué, hágalo arreglar y demuéstrelo con las piezas siguientes.
practise = Practicar la medición antes de juzgar, comparar las lecturas con la orden de trabajo y con lo que muestra el panel, y demostrar con piezas nuevas que la causa ha desaparecido.
expected-complete = Lleva el primer ciclo hasta el final.
expected-unload = Saca las piezas.
expected-measure = Mide al menos tres piezas: una puede ser la que se sale de lo normal.
expected-flat = Pone el plano óptico: una pieza del espesor correcto puede no ser plana.
expected-reject = Rechaza las piezas por demasiado finas: miden unos 533 µm, mientras que el medidor del panel decía 538 µm.
expected-cure = Hace arreglar el medidor de cota: las piezas y el panel difieren lo mismo en todas las piezas.
expected-count = Cuenta las piezas siguientes antes de cerrar el resguardo.
expected-again = Lapea otras piezas, para demostrar que la causa ha desaparecido.
expected-measure-again = Mide al menos tres de ellas.
expected-release = Acepta estas: miden lo que pide la orden de trabajo.
forbidden-accepted-bad = Las piezas eran demasiado finas y se aceptaron: toda la serie se habría lapeado para chatarra.
forbidden-unmeasured = Las piezas se juzgaron antes de medir tres: el medidor del panel mide mientras se lapean, y puede estar mal.
forbidden-unproven = Aceptadas antes de medir tres de las piezas siguientes: nada había demostrado aún que la causa hubiera desaparecido.
