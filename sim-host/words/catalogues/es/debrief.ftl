# debrief: las palabras de esta sala. Mensajes en el orden del código que los pide.

# Por qué se perdieron puntos.
lost-needless-remedy = Estaba sano: primero encontrar la causa, luego hacerla arreglar.
lost-needless-stop = Nadie estaba en peligro: cuesta el lote, y no encuentra ninguna causa.
lost-no-diagnosis = No se dio ningún diagnóstico.
lost-nothing-wrong = Nada iba mal.
# Nombres de componentes, con comas entre medias.
lost-truth = Era: { $components }.
lost-late = Se hizo { $seconds } s demasiado tarde.
lost-not-in-time = No se hizo a tiempo.
lost-not-come = No se llegó a eso.

# Daños, y por qué cuestan.
harm-cracked = Hay piezas agrietadas.
harm-cracked-why = Soportaron más de lo que pueden.
harm-scored = Los platos están rayados.
harm-scored-why = Giraron bajo carga sin lechada entre ellos.
harm-carriers = Hay portapiezas dañados.
harm-carriers-why = Los accionamientos dejaron su relación bajo carga, o el plato bajó sobre los portapiezas o se elevó mientras giraban.
harm-undersize = Hay piezas demasiado finas.
harm-undersize-why = Se trabajaron demasiado tiempo: nada las devuelve.
harm-oversize = Hay piezas demasiado gruesas.
harm-oversize-why = El lote se dio por completo y no lo está.
harm-scratched = Hay piezas rayadas.
harm-scratched-why = En la máquina o en su lechada quedaban granos de otro abrasivo.
harm-danger = Alguien podría haber resultado herido.
harm-danger-why = Algo se movió, presionó o cayó con el resguardo abierto.

# Lo que pasó.
event-mode = Modo: { $mode }
event-whole-again = { $component }: sano de nuevo
event-power = La alimentación se había ido.
event-found = Piezas sacadas: enteras, { $whole }; agrietadas, { $cracked }.

# Lo que se podía ver antes de que alguien reaccionara; va al comienzo de una línea o solo.
cause-fault = { $component } empezó a fallar
cause-state = estado de la máquina: { $state }
cause-phase = fase { $phase }

# Qué practicar a continuación. "What" es una frase entera del ejercicio, con su punto final.
practise-think = Para pensar: { $what } { $why }
practise-faster = Más deprisa: { $what }
practise-missed = No omitir: { $what }
practise-slow = A tiempo, pero por poco: { $what }
practise-nothing = No se perdió nada: pase al ejercicio siguiente.

# Lo que hizo un instructor.
acted-inject = Instructor: { $component }, { $mode }
acted-repair = Instructor: { $component }, arreglado
