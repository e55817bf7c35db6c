# Deutsch.

title = Jemand hat das Rührwerk ausgeschaltet gelassen (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen. Der Tank wurde vor Ihrer Schicht gereinigt. Läuferscheiben und Teile sind eingelegt, 15 sind gezählt, das Rezept ist abgerufen. Prüfen, ob die Maschine bereit ist, dann bestätigen und starten.
practise = Üben: vor jedem Start nach Tank, Rührwerk und Leitung sehen, vor allem nach dem Reinigen.
expected-look = Vor dem Start nach Tank, Rührwerk und Leitung sehen.
expected-switch-on = Rührwerk am Tank einschalten lassen.
expected-confirm = Stückzahl bestätigen.
expected-start = Zyklus mit eingeschaltetem Rührwerk starten.
expected-complete = Zyklus zu Ende bringen.
expected-unload = Teile entnehmen und messen lassen.
forbidden-blind-start = Das Rührwerk war aus: das Läppkorn setzt sich ab, und klares Wasser läppt nicht. Die Steuerung verweigert in ihrer Vorprüfung und stoppt.
