# Deutsch.

title = Von grobem Läppkorn zu feinem (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden mit F800, 6,5 µm, auf 538 µm läppen. Bisher lief diese Maschine mit F400, 17 µm: Tank, Leitung, Läppscheiben, Läuferscheiben und Stiftkränze sind, wie jene Charge sie hinterlassen hat. Die Maschine ist inaktiv und leer, die Läuferscheiben für Ihre Teile sind sauber. Die Maschine für das feinere Korn bereit machen, das durch eine Probe nachweisen, dann läppen. Keine Ronde darf verkratzt sein: ein einziges grobes Korn genügt.
practise = Üben: beide Wege reinigen, die ein Korn nimmt: Tank und Leitung, und Läppscheiben, Läuferscheiben und Stiftkränze. Eine halbe Reinigung ist keine.
expected-change = Läppmittel wechseln. Tank und Leitung werden geleert und gespült und mit dem feineren gefüllt.
expected-wash = Läppscheiben, Läuferscheiben und Stiftkränze waschen: die Körner sitzen in Nuten und Zähnen.
expected-sample = Vom frischen Läppmittel eine Probe auf einzelne große Körner nehmen.
expected-load = Läuferscheiben einlegen, wenn alles sauber ist.
expected-count = Teile zählen, wo sie liegen.
expected-recall = Rezept abrufen.
expected-confirm = 15 Stück bestätigen.
expected-complete = Zyklus zu Ende bringen.
expected-unload = Teile entnehmen und messen lassen.
forbidden-old-slurry = Der Zyklus wurde mit Läppmittel gestartet, in dem grobe Körner schwimmen.
forbidden-unwashed = Der Zyklus wurde auf Läppscheiben und Stiftkränzen gestartet, von denen immer weiter grobe Körner kommen.
forbidden-unsampled = Niemand hatte nachgesehen, ob das frische Läppmittel frei von großen Körnern ist.
forbidden-thickened = Feine Körner wurden zu groben gegeben: die groben sind noch da.
