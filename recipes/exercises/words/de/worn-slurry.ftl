# Deutsch.

title = Das Läppmittel der Vorschicht: Probe nehmen, urteilen, wechseln (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen, ± 3 µm. Das Rezept verlangt 20 % Körner F800 nach Gewicht. Der Tank wurde von der Vorschicht benutzt, und niemand hat aufgeschrieben, wie lange. Die Maschine ist inaktiv und leer, Läuferscheiben und Teile liegen daneben. Eine Probe des Läppmittels nehmen, entscheiden, ob es brauchbar ist, auf seine Körner gebracht werden kann oder gewechselt werden muss, durch eine weitere Probe nachweisen, dass es stimmt, dann läppen.
practise = Üben: eine Probe nehmen, bevor entschieden wird: zu wenige Körner lassen sich ergänzen, stumpfe Körner lassen sich nicht schärfen.
expected-sample = Probe des Läppmittels nehmen. Sie zeigt die Zahl seiner Körner und ihre Kanten.
expected-change = Es wechseln: 12 % ließen sich auf 20 % bringen, aber die Körner sind rund gelaufen.
expected-again = Noch einmal Probe nehmen: was gemischt wurde, wird nachgewiesen, nicht geglaubt.
expected-load = Läuferscheiben einlegen.
expected-count = Teile zählen, wo sie liegen.
expected-recall = Rezept abrufen.
expected-confirm = 15 Stück bestätigen.
expected-complete = Zyklus zu Ende bringen.
expected-unload = Teile entnehmen und messen lassen.
forbidden-blind-start = Der Zyklus wurde mit einem Läppmittel gestartet, nach dem niemand gesehen hatte.
forbidden-worn-start = Der Zyklus wurde mit stumpfen Körnern gestartet: er dauert ein Mehrfaches, mit Wärme und Verschleiß dazu.
forbidden-thickened = Körner wurden zu stumpfen gegeben: die Zahl stimmt dann, und die stumpfen schneiden nicht besser.
forbidden-blind-change = Ein Tank wurde weggeworfen, von dem niemand eine Probe genommen hatte: er hätte gut sein können.
