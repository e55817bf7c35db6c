# Deutsch.

title = Der Dickentaster fällt in der Läppzeit aus (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen, ± 3 µm. Läuferscheiben und Teile sind eingelegt, 15 sind gezählt, das Rezept ist abgerufen. Stückzahl bestätigen und starten. Der Dickentaster beendet den letzten Schritt, nach etwa 45 s. Ohne ihn läuft der Schritt bis zu seiner längsten Zeit, drei Minuten, und trägt etwa 0,1 µm je Sekunde ab. Was ab ist, bleibt ab. Fällt der Dickentaster aus, ihn in Ordnung bringen lassen und die Charge fertig läppen.
practise = Üben: Halten: es nimmt die Last weg, stoppt die Läppscheiben nass und behält den Schritt, so dass Fortsetzen dort weitermacht, wo er war.
expected-confirm = Stückzahl bestätigen.
expected-start = Zyklus starten.
expected-acknowledge = Alarm quittieren und lesen. Der Dickentaster ist ausgefallen, und der Schritt läuft nach seiner Zeit weiter.
expected-hold = Zyklus halten, bevor die Teile zu dünn sind. Vom Alarm bis zum unteren Grenzmaß ist etwa eine Minute Zeit.
expected-cure = Dickentaster in Ordnung bringen lassen. In Gehalten stehen die Läppscheiben still.
expected-restart = Fortsetzen. Der Zyklus macht mit dem Rest des Schritts weiter.
expected-complete = Zyklus zu Ende bringen, nach dem Dickentaster.
expected-unload = Teile entnehmen und messen lassen.
forbidden-blind-restart = Der Dickentaster war noch tot: der Schritt wäre nach seiner Zeit weitergelaufen, am Maß vorbei.
forbidden-thrown-away = Es bestand keine Gefahr. Halten behält den Schritt; Abbrechen nimmt die Energie weg und lässt die Läppscheiben austrudeln.
