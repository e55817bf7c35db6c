# Deutsch.

title = Die Druckluft fällt in der Läppzeit ab (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen. Läuferscheiben und Teile sind eingelegt, 15 sind gezählt, das Rezept ist abgerufen. Stückzahl bestätigen und starten. Eine andere Maschine an derselben Druckluftleitung wird heute durchgeblasen. Wenn die Maschine stoppt: die Ursache in Ordnung bringen lassen, die Maschine in Grundstellung bringen und die Charge fertig läppen; der Dickentaster beendet den Schritt, deshalb dürfen dieselben Teile nach einem nassen Stopp neu gestartet werden.
practise = Üben: auf die Druckluft warten, bevor etwas bewegt wird: die Läppscheibe ist sicher, wo sie liegt.
expected-confirm = Stückzahl bestätigen.
expected-start = Zyklus starten.
expected-acknowledge = Alarm quittieren und lesen. Die Druckluftversorgung ist zu niedrig; die Maschine stoppt von selbst, nass.
expected-cure = Druckluftversorgung in Ordnung bringen lassen. Das Manometer der Versorgung steht wieder auf 6 bar.
expected-raise = Läppscheibe heben, mit Druckluft, die sie trägt.
expected-home = Maschine mit Rücksetzen in Grundstellung bringen: Inaktiv.
expected-complete = Bestätigen, neu starten und die Charge fertig läppen.
expected-unload = Teile entnehmen und messen lassen.
forbidden-blind-raise = Es ist keine Druckluft da, um die Läppscheibe zu tragen. Sie ist sicher, wo sie liegt; in der Luft bliebe sie auf halbem Weg stehen.
forbidden-blind-start = Es war keine Druckluft zum Drücken da: erst die Ursache, dann ein Start.
forbidden-reach-in = Die Läppscheiben drehen noch. Die Schutztür bleibt zu, bis der Stillstand nachgewiesen ist.
