# Deutsch.

title = Ein Arbeitsauftrag und zehn gespeicherte Rezepte zur Wahl (erfunden)
brief = Arbeitsauftrag. Teil: Übungsronden aus Glas, 50 mm. Rohlinge: 545 µm. Sollmaß: 538 µm ± 3 µm. Flächen: Ra 0,35 µm oder feiner, geläppt mit Aluminiumoxid F800 in Wasser. Schritte: Anläppen (seat), Läppen (lap) und Ausläppen (ease) mit höchstens 165 N. Stückzahl: 15. Die Maschine ist inaktiv und leer; Läuferscheiben und Teile liegen daneben. Zehn Rezepte sind gespeichert, für diesen und für andere Aufträge; manche sehen gleich aus, und manche haben denselben Titel. Eines in der Liste wählen und seine Karte lesen: Titel, Charge, Stückzahl und die Schritte mit ihren Lasten. Das abrufen, das in jeder Zeile mit dem Auftrag übereinstimmt, die Teile läppen und gemessen übergeben.
practise = Üben: den Arbeitsauftrag Zeile für Zeile durchgehen, mit einem Finger auf der Karte des Rezepts: Teil, Rohling, Sollmaß, Läppkorn, Stückzahl, Schritte. Ein Titel, der richtig klingt, genügt nicht.
expected-load = Läuferscheiben einlegen.
expected-count = Teile zählen.
expected-recall = Rezept des Arbeitsauftrags abrufen: Platz 7. Nur dieses stimmt in Charge, Sollmaß, Läppkorn, Stückzahl und Schritten mit dem Auftrag überein.
expected-confirm = 15 Stück bestätigen, wie gezählt und wie bestellt.
expected-complete = Zyklus zu Ende bringen.
expected-unload = Teile entnehmen und messen lassen.
forbidden-wrong-start = Gestartet, bevor das Rezept des Arbeitsauftrags abgerufen war. Platz 2 unterscheidet sich davon allein im Sollmaß, Platz 5 in der Stückzahl, Platz 4 in der Körnung, Platz 1 im letzten Schritt: erst die ganze Karte unterscheidet sie.
forbidden-swapped = Das Rezept des Arbeitsauftrags war abgerufen, und dann stattdessen ein anderes. Eine Karte lässt sich in der Liste lesen, ohne etwas abzurufen; die Plätze 1, 2, 4 und 5 weichen nur in einer Zeile vom Auftrag ab.
forbidden-uncounted = Niemand startet einen Zyklus mit Teilen, die niemand gezählt hat: ein doppeltes Teil reißt.
forbidden-wrong-count = 15 Stück wurden bestellt und liegen in den Aussparungen. Will die Steuerung eine andere Zahl, ist das Rezept falsch, nicht die Zählung.
