# Deutsch.

title = Aus Gestoppt in Grundstellung mit Einrichten, geführt (erfunden)
brief = Läuferscheiben und Teile sind eingelegt, 15 sind gezählt, das Rezept ist abgerufen. Stückzahl bestätigen und starten; nach einer Weile stoppt der Einrichter den Zyklus, um die Teile anzusehen. Hier lernen Sie, die Läppscheibe von Hand in Grundstellung zu bringen: in Einrichten, mit dem Schlüssel und mit einem Taster, der die Läppscheibe nur bewegt, solange er gehalten wird. Der Anleitung folgen.
practise = Üben: die Reihenfolge des Einrichtens: Schlüssel, Betriebsart, Bewegung, halten; und zurück: loslassen, Automatik, Schlüssel aus, Rücksetzen.
guide-1 = Stückzahl bestätigen: 15 Stück.
guide-2 = Start drücken und die Phasen beobachten. Der Einrichter stoppt den Zyklus im zweiten Schritt.
guide-3 = Warten. Ein Stopp der Kategorie 1 nimmt die Last sofort weg und bremst die Antriebe nass ab; die Läppscheibe bleibt auf den Teilen.
guide-4 = Die Maschine ist in Gestoppt: die Läppscheibe liegt auf den Teilen, nichts dreht. Einrichten braucht seinen Schlüssel. Einschalten.
guide-5 = Betriebsart auf Einrichten stellen. Drehzahlen und Last sind dort verringert, und alles bewegt sich nur, solange der Tipptaster gehalten wird.
guide-6 = Bewegung wählen: Heben.
guide-7 = Tipptaster gedrückt halten. Die Läppscheibe kriecht erst von den Teilen weg, dann steigt sie. Auf die Höhe achten. Zwischendurch loslassen, wenn gewünscht: sie bleibt stehen, wo sie ist.
guide-8 = Weiter halten, bis die Höhe bei 120 mm stehen bleibt; das dauert etwa 25 s. Dann loslassen: der Bolzen nimmt die Läppscheibe auf.
guide-9 = Die Läppscheibe ist geparkt. Betriebsart zurück auf Automatik stellen.
guide-10 = Schlüssel ausschalten. Wer den Schlüssel hat, hat die Maschine: er bleibt nicht stecken.
guide-11 = Rücksetzen drücken. Aus Gestoppt führt es zu Inaktiv, weil die Läppscheibe geparkt und keine Sperre gespeichert ist.
expected-confirm = Stückzahl bestätigen.
expected-start = Zyklus starten.
expected-key = Einrichtschlüssel einschalten.
expected-setup = Betriebsart auf Einrichten stellen.
expected-select = Die Bewegung wählen, die die Läppscheibe hebt.
expected-hold = Tipptaster gedrückt halten. Die Läppscheibe steigt nur, solange er gehalten wird.
expected-let-go = Tipptaster loslassen. Die Läppscheibe bleibt stehen, wo sie ist; ganz oben nimmt der Bolzen sie auf.
expected-automatic = Betriebsart zurück auf Automatik stellen.
expected-key-off = Einrichtschlüssel ausschalten und abziehen.
expected-home = Maschine mit Rücksetzen in Grundstellung bringen: Inaktiv.
forbidden-lowers = Die Läppscheibe soll nach oben: sie liegt schon auf den Teilen.
forbidden-jogs = Die Teile liegen halb bearbeitet zwischen den Läppscheiben, und kein Läppmittel fließt: dort wird nichts gedreht.
