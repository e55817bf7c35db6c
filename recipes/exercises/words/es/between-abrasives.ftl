# Español.

title = De un abrasivo grueso a uno fino (inventado)
brief = Orden de trabajo: lapear 15 discos de práctica a 538 µm con F800, 6,5 µm. Hasta ahora esta máquina trabajaba con F400, 17 µm: el depósito, la línea, los platos, los portapiezas y las coronas están como los dejó ese lote. La máquina está inactiva y vacía, y los portapiezas para sus piezas están limpios. Prepare la máquina para el grano más fino, demuéstrelo con una muestra y después lapee. Ningún disco debe quedar rayado: basta un solo grano de los gruesos.
practise = Practicar la limpieza de los dos caminos que sigue un grano: depósito y línea, y platos, portapiezas y coronas. Media limpieza no es limpieza.
expected-change = Cambia la lechada. El depósito y la línea se vacían, se enjuagan y se llenan con la más fina.
expected-wash = Lava platos, portapiezas y coronas: los granos se quedan en ranuras y dientes.
expected-sample = Toma una muestra de la lechada nueva para buscar granos gruesos sueltos.
expected-load = Coloca los portapiezas cuando todo está limpio.
expected-count = Cuenta las piezas en su sitio.
expected-recall = Carga la receta.
expected-confirm = Confirma 15 piezas.
expected-complete = Lleva el ciclo hasta el final.
expected-unload = Saca las piezas y las hace medir.
forbidden-old-slurry = Se arrancó el ciclo con una lechada en la que nadan granos gruesos.
forbidden-unwashed = Se arrancó el ciclo con platos y coronas de los que siguen saliendo granos gruesos.
forbidden-unsampled = Nadie había mirado si la lechada nueva está libre de granos gruesos.
forbidden-thickened = Se añadieron granos finos a los gruesos: los gruesos siguen ahí.
