# Deutsch.

title = Zwei Teile in einer Aussparung (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen. Die Vorschicht hat die Läuferscheiben eingelegt und einen Zettel hinterlassen: 15 Stück, nicht unterschrieben. Das Rezept ist abgerufen. Die Charge zu Ende bringen.
practise = Üben: selbst zählen, mit einem Finger auf jedem Teil, was auch immer auf einem Zettel steht.
expected-count = Selbst zählen. Die Schutztür wird dafür entriegelt und geöffnet.
expected-cure = Das doppelte Teil herausnehmen lassen.
expected-recount = Noch einmal zählen. Nur eine Zählung nach der Änderung gilt.
expected-confirm = 15 Stück bestätigen.
expected-start = Zyklus mit geschlossener und verriegelter Schutztür starten.
expected-complete = Zyklus zu Ende bringen.
expected-unload = Teile entnehmen und messen lassen.
forbidden-believed = Es wurde eine Stückzahl bestätigt, die nicht selbst gezählt war: ein Zettel zählt nicht.
forbidden-blind-start = Ein Teil lag auf einem anderen. Die Läppscheibe traf es zuerst, und es hätte die ganze Last getragen.
