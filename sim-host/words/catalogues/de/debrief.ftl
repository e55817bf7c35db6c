# Was die Nachbesprechung sagt. Die Reihenfolge ist die des Codes, der danach fragt.

# Warum Punkte verloren gingen.
lost-needless-remedy = Da war nichts defekt: erst die Ursache finden, dann sie in Ordnung bringen lassen.
lost-needless-stop = Niemand war in Gefahr: es kostet die Charge und findet keine Ursache.
lost-no-diagnosis = Keine Diagnose wurde gestellt.
lost-nothing-wrong = Nichts war falsch.
# Namen von Komponenten, mit Kommas dazwischen.
lost-truth = Es war: { $components }.
lost-late = Es wurde { $seconds } s zu spät getan.
lost-not-in-time = Es wurde nicht rechtzeitig getan.
lost-not-come = Dazu kam es nicht.

# Schaden, und warum er kostet.
harm-cracked = Teile sind gerissen.
harm-cracked-why = Sie trugen mehr, als sie können.
harm-scored = Die Läppscheiben haben Riefen.
harm-scored-why = Sie drehten unter Last ohne Läppmittel dazwischen.
harm-carriers = Läuferscheiben sind beschädigt.
harm-carriers-why = Die Antriebe verließen unter Last ihr Verhältnis, oder die Läppscheibe setzte auf den Läuferscheiben auf oder hob ab, während sie drehten.
harm-undersize = Teile sind zu dünn.
harm-undersize-why = Sie wurden zu lange bearbeitet: nichts bringt sie zurück.
harm-oversize = Teile sind zu dick.
harm-oversize-why = Die Charge wurde als fertig gemeldet und ist es nicht.
harm-scratched = Teile sind verkratzt.
harm-scratched-why = Körner eines anderen Läppkorns waren in der Maschine oder ihrem Läppmittel geblieben.
harm-danger = Jemand hätte verletzt werden können.
harm-danger-why = Etwas bewegte sich, drückte oder fiel bei offener Schutztür.

# Was geschah.
event-mode = Betriebsart: { $mode }
event-whole-again = { $component }: wieder in Ordnung
event-power = Der Strom war weg.
event-found = Teile entnommen: { $whole } ganz, { $cracked } gerissen.

# Was zu sehen war, bevor jemand reagierte; steht am Anfang einer Zeile oder allein.
cause-fault = Störung beginnt: { $component }
cause-state = Zustand der Maschine: { $state }
cause-phase = Phase { $phase }

# Was als Nächstes zu üben ist. „Was“ ist ein ganzer Satz der Übung, mit seinem Punkt.
practise-think = Nachdenken über: { $what } { $why }
practise-faster = Schneller: { $what }
practise-missed = Nicht auslassen: { $what }
practise-slow = Rechtzeitig, aber nur knapp: { $what }
practise-nothing = Nichts ging verloren: weiter mit der nächsten Übung.

# Was ein Ausbilder tat.
acted-inject = Ausbilder: { $component } { $mode }
acted-repair = Ausbilder: { $component } in Ordnung gebracht
