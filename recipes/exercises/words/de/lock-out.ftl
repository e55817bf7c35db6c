# Deutsch.

title = Ein Teil liegt schief: das eigene Schloss, bevor eine Hand hineingreift (erfunden)
brief = 15 Übungsronden, 538 µm, liegen in der Maschine, das Rezept ist abgerufen; jemand hat gesehen, dass eine davon schief liegt. Hausregel: gezählt und eingelegt wird unter der verbolzten Läppscheibe bei offener Schutztür; wer ein Teil löst, trennt zuerst Strom und Druckluft, hängt das eigene Schloss und Schild an und prüft mit Start, bei geschlossener und verriegelter Schutztür, dass sich nichts bewegt. Das Teil nach dieser Regel lösen, das Schloss als Letztes abnehmen und die Charge zu Ende bringen. An einer wirklichen Maschine entscheiden die örtlichen Regeln und das Verfahren der Maschine.
practise = Üben: die Reihenfolge: sehen, trennen, mit Schloss sichern, nachweisen, lösen, noch einmal hinsehen, alle draußen, Schloss ab.
expected-see = Schutztür öffnen und zählen, um zu sehen, wo welches Teil liegt.
expected-lock = Strom und Druckluft trennen und abschließen. Das eigene Schloss und Schild hängen dort.
expected-prove = Start bei geschlossener Schutztür drücken, um nachzuweisen, dass sich nichts bewegt. Ein Schloss am falschen Schalter sieht genauso aus.
expected-free = Das Teil richtig legen lassen.
expected-count = Noch einmal zählen. Nur eine Zählung nach der Änderung gilt.
expected-lock-off = Das eigene Schloss abnehmen, wenn niemand mehr darin ist.
expected-confirm = 15 Stück bestätigen.
expected-complete = Zyklus zu Ende bringen.
expected-unload = Teile entnehmen und messen lassen.
forbidden-no-lock = Eine Hand griff hinein, wo Teile klemmen, während Strom und Druckluft anstanden: wer die Maschine dann startet, sieht die Hand nicht.
forbidden-unproven = Das Teil wurde gelöst, bevor jemand nachgewiesen hatte, dass die Maschine energiefrei ist: das Schloss kann am falschen Schalter hängen.
forbidden-lock-off-early = Das Schloss wurde abgenommen, bevor das Teil gelöst war: es schützt nur, solange es hängt.
forbidden-blind-start = Start wurde bei anstehendem Strom und schief liegendem Teil gedrückt, um zu sehen, was geschieht.
