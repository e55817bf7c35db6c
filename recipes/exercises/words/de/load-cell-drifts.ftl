# Deutsch.

title = Die Kraftmessdose driftet, und kein Alarm kommt (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen. Läuferscheiben und Teile sind eingelegt, 15 sind gezählt, das Rezept ist abgerufen. An die Regel dieser Werkstatt denken: immer wenn die Läppscheibe frei hängt oder geparkt ist, muss die Lastanzeige auf null stehen, auf 5 N genau. Die nächste Charge wartet: eine Maschine übergeben, die für sie taugt.
practise = Üben: jedes Mal nach der Lastanzeige sehen, wenn die Läppscheibe die Teile verlassen hat: sie muss auf null stehen.
expected-confirm = Stückzahl bestätigen.
expected-start = Zyklus starten.
expected-cure = Nach der Kraftmessdose sehen lassen. Bei geparkter Läppscheibe zeigt die Anzeige etwa 57 N, die auf nichts drücken; auch in der Läppzeit waren Maß und Drehmoment niedrig.
expected-complete = Zyklus zu Ende bringen. Der Dickentaster beendet ihn, deshalb stimmt das Maß trotzdem.
expected-unload = Teile entnehmen und messen lassen: sie wurden mit einer anderen Last gedrückt, als das Bedienfeld sagte.
forbidden-next-batch = Die Anzeige stand nicht auf null: die Messdose war falsch, und keine Last, die sie zeigt, ist zu glauben. Die Steuerung verweigert ihre Tara.
forbidden-hands-over = Die nächsten Teile wurden in eine Maschine eingelegt, deren Kraftmessdose falsch ist.
