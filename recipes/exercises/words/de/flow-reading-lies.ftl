# Deutsch.

title = Die Durchflussanzeige steht, und kein Läppmittel kommt (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen. Läuferscheiben und Teile sind eingelegt, 15 sind gezählt, das Rezept ist abgerufen. Stückzahl bestätigen und starten. An die Regel dieser Werkstatt denken: ab der ersten Läppzeit sieht jemand mindestens jede halbe Minute nach dem Läppmittel selbst, denn eine Anzeige ist kein Läppmittel. Stimmt etwas nicht, den Zyklus halten, solange der Läppspalt noch nass ist: der Film reicht etwa 40 s. Alles in Ordnung bringen lassen, was nicht stimmt, auch die Anzeige, und die Charge fertig läppen.
practise = Üben: in der Läppzeit nach dem Läppmittel selbst sehen und auf das Drehmoment der Läppscheiben achten: es steigt, wenn der Läppspalt trocken läuft.
expected-confirm = Stückzahl bestätigen.
expected-start = Zyklus starten.
expected-look = In der Läppzeit nach Tank, Rührwerk und Leitung sehen. Die Anzeige zeigt Durchfluss, und der Schlauch ist verstopft.
expected-hold = Zyklus halten, solange der Läppspalt noch nass ist. Die Läppscheiben bremsen ohne Schaden ab.
expected-clear = Leitung frei machen lassen.
expected-reading = Durchflussanzeige in Ordnung bringen lassen. Sie zeigte Durchfluss, wo keiner war.
expected-complete = Fortsetzen und den Zyklus zu Ende bringen.
expected-unload = Teile entnehmen und messen lassen. Auch die Läppscheiben werden angesehen.
forbidden-blind-restart = Die Leitung war noch verstopft: die Läppscheiben würden trocken drehen und Riefen bekommen.
