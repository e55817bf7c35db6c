# Deutsch.

title = Erste Teile eines Loses: messen, beurteilen und die Ursache finden (erfunden)
brief = Arbeitsauftrag: erste Teile eines Loses Übungsronden, 538 µm ± 3 µm, Dicke innerhalb eines Teils höchstens 2 µm verschieden, Flächen auf 5 µm eben (17 Lichtinterferenzstreifen). 15 Teile liegen gezählt in der Maschine, das Rezept ist abgerufen. Bestätigen, läppen, entnehmen, mindestens drei an fünf Stellen messen, das Planglas auflegen und die Teile beurteilen. Nichts von dem Los geht weiter vor einem guten ersten Teil. Wo sie nicht gut sind: die Ursache finden, in Ordnung bringen lassen und an den nächsten Teilen zeigen.
practise = Üben: erst messen, dann urteilen, die Messwerte mit dem Arbeitsauftrag und mit der Anzeige des Bedienfelds vergleichen, und an neuen Teilen zeigen, dass die Ursache behoben ist.
expected-complete = Ersten Zyklus zu Ende bringen.
expected-unload = Teile entnehmen.
expected-measure = Mindestens drei Teile messen: eines kann ein Ausreißer sein.
expected-flat = Das Planglas auflegen: ein Teil der richtigen Dicke kann trotzdem uneben sein.
expected-reject = Teile als zu dünn zurückweisen: sie messen etwa 533 µm, während der Dickentaster auf dem Bedienfeld 538 µm zeigte.
expected-cure = Dickentaster in Ordnung bringen lassen: Teile und Bedienfeld weichen bei jedem Teil um denselben Betrag voneinander ab.
expected-count = Die nächsten Teile zählen, bevor die Schutztür geschlossen wird.
expected-again = Andere Teile läppen, um zu zeigen, dass die Ursache behoben ist.
expected-measure-again = Mindestens drei davon messen.
expected-release = Diese annehmen: sie messen, was der Arbeitsauftrag verlangt.
forbidden-accepted-bad = Die Teile waren zu dünn und wurden angenommen: das ganze Los wäre zu Ausschuss geläppt worden.
forbidden-unmeasured = Die Teile wurden beurteilt, bevor drei davon gemessen waren: der Dickentaster misst, während geläppt wird, und kann falsch zeigen.
forbidden-unproven = Angenommen, bevor drei der nächsten Teile gemessen waren: noch nichts hatte gezeigt, dass die Ursache behoben war.
