# Was die Sitzung sagt. Die Reihenfolge ist die des Codes, der danach fragt.

## Was als Nächstes kommt (advice.rs): die Zeile des Bedienfelds

# $doing: was im Gang ist, eine ganze Zeile ohne ihren Punkt. $minutes: eine ganze Zahl
advice-at-work = { $doing }. Maschine höchstens { $minutes } min mit Schloss gesichert.
advice-locked-out = Ihr Schloss hält die Maschine abgeschaltet. Als Letztes abnehmen, wenn niemand mehr im Gefahrenbereich ist.
advice-estop = Der Not-Halt ist gedrückt. Entriegeln, wenn niemand in Gefahr ist und die Ursache behoben ist.
advice-setup = Einrichten: Bewegung wählen und Tipptaster halten. Automatik und Schlüssel aus, wenn es getan ist.
advice-plate-change = Scheibenwechsel: Automatik, wenn die Läppscheiben eingebaut sind.
# Steht hinter dem, was wegen einer Zeile zu tun ist
advice-then-reset = Dann Rücksetzen.
advice-standstill = Wartet auf Stillstand.
# Steht hinter dem, was als Nächstes getan werden könnte
advice-but-only = Aber erst, wenn die Ursache von Zeile { $row } ({ $name }) gefunden und behoben ist.
advice-held = Gehalten: Fortsetzen macht weiter, Stopp beendet die Charge.
advice-home = Rücksetzen bringt die Maschine in Grundstellung.
advice-raise = Läppscheibe heben.
# Teile auf der Werkbank, die niemand beurteilt hat
advice-unjudged = Teile liegen auf der Werkbank: messen, Planglas auflegen und beurteilen.
advice-batch-ends = Rücksetzen beendet die Charge.
advice-take-out = Teile entnehmen.
advice-take-out-measure = Teile entnehmen und messen lassen.
advice-not-parked = Die Läppscheibe ist nicht geparkt. In Einrichten heben.
advice-recall = Rezept des Arbeitsauftrags abrufen.
advice-rejected = Die Teile wurden zurückgewiesen. Andere einlegen, wenn die Ursache gefunden und behoben ist.
advice-lay-in = Läuferscheiben mit ihren Teilen einlegen.
advice-count = Teile zählen, wo sie liegen, falls es niemand getan hat, und Stückzahl bestätigen.
advice-count-again = { $confirmed } bestätigt, und das Rezept ist für { $wanted }: noch einmal zählen.
advice-check-slurry = Tank, Rührwerk und Leitung prüfen.
advice-start-counted = Start, wenn die Teile gezählt sind, wo sie liegen.
advice-report-form = Form der Läppscheiben melden, falls sie gemessen wurde; dann Start.
advice-start-recipe = Start, wenn { $recipe } das Rezept des Arbeitsauftrags ist.
advice-start = Start.
advice-vent = Wartet auf Stillstand und bis der Zylinder entlüftet ist.
advice-unlock = Schutztür entriegeln.
advice-open = Schutztür öffnen.
advice-close = Sicherstellen, dass niemand im Gefahrenbereich ist, und Schutztür schließen.
advice-lock = Schutztür verriegeln.

## Worauf eine Maschine wartet, die im Gang ist (words.rs)

waits-coast = Wartet, bis die Antriebe bis zum Stillstand ausgetrudelt sind.
waits-rest = Wartet, bis die Maschine zur Ruhe gekommen ist.
waits-precheck = Wartet auf alles, was nachgewiesen sein muss, bevor sich etwas bewegt.
waits-lower = Wartet, bis die Läppscheibe auf die Teile gesenkt ist.
waits-touch-down = Wartet, bis sich die Anfangslast eingestellt hat.
waits-slurry-prestart = Wartet, bis Läppmittel fließt und der Läppspalt benetzt ist.
waits-run-up = Wartet, bis alle vier Antriebe gemeinsam auf Drehzahl sind.
waits-load-ramp = Wartet, bis die Last den Sollwert des Schritts erreicht.
waits-dwell = Wartet auf das Ende des Schritts: seine Zeit, seinen Abtrag oder sein Maß.
waits-load-release = Wartet, bis die Last auf die Anfangslast gesunken ist.
waits-rinse = Wartet auf das Ende des Spülens.
waits-run-down = Wartet, bis die Antriebe stillstehen.
waits-slurry-stop = Wartet, bis aus der Leitung nichts mehr fließt.
waits-lift = Wartet, bis die Läppscheibe gehoben und verbolzt ist.
waits-manual = Wartet, bis der Tipptaster losgelassen wird.

# Was jede Stopp-Kategorie tut (IEC 60204-1)
stop-category-0 = Energie sofort aus
stop-category-1 = Stillsetzen, dann Energie aus
stop-category-2 = Stillsetzen, Last bleibt geregelt
# Ein Alarm, der quittiert und gegangen ist, dessen Zeile aber auf Rücksetzen wartet (ANSI/ISA-18.2: latched)
alarm-is-latched = gespeichert: braucht Rücksetzen

## Was ein Takt gebracht hat (ticks.rs)

told-power-away = Der Strom war weg. Die Steuerung ist neu angelaufen und weiß nichts von den Teilen.
told-mode = Betriebsart: { $mode }
# Wohin die Steuerung gekommen ist: $state und $phase sind Wörter der Maschine
told-phase = { $state }: { $phase }
told-step = { $state }: { $phase }, Schritt { $step }
# $items: was der Vorprüfung fehlt, mit Kommas dazwischen
told-missing = Nicht startbereit. Es fehlt: { $items }.
told-reset = Rücksetzen: kein gespeicherter Alarm mehr.
told-reset-left = { $left ->
    [one] Rücksetzen: { $left } gespeicherter Alarm bleibt, seine Ursache besteht noch.
   *[other] Rücksetzen: { $left } gespeicherte Alarme bleiben, ihre Ursachen bestehen noch.
    }
# Steht für den Namen einer unbekannten Zeile
told-interlock = Verriegelung
told-departed = Der Zyklus hat seinen Lauf verlassen: { $row } kam zuerst.
# Steht für das, was getan wurde, wo es nicht bekannt ist
told-controller-refused = Die Steuerung
# $what: was getan wurde. $why beginnt klein
told-refused = { $what }: abgelehnt: { $why }

## Die Anleitung einer geführten Übung (guide.rs)

told-guide-step = Schritt { $number } von { $of } getan.

## Wie die Stiftkränze drehen, wie das Bedienfeld es zeigt (frame.rs)

rings-programmed = wie programmiert
rings-reversed = umgekehrt
# $trim: mit seinem Vorzeichen
rings-trimmed = um { $trim } % angepasst
rings-reversed-trimmed = umgekehrt, um { $trim } % angepasst

## Was Augen und Hände neben dem Bedienfeld herausfinden (looks.rs)

refused-nothing-to-count = in der Maschine sind keine Läuferscheiben: erst einlegen
seen-pockets-filled = { $present } von { $pockets } Aussparungen belegt; jedes Teil liegt flach.
seen-pockets-empty = { $present } von { $pockets } Aussparungen belegt; { $empty } leer.
seen-pockets-doubled = { $parts } Teile in { $pockets } Aussparungen; { $doubled } Aussparung(en) mit zwei Teilen, eines auf dem anderen: sie liegen nicht flach.
# Sätze einer Zeile: der Tank, dass sich das Läppkorn abgesetzt hat, das Rührwerk, die Leitung
seen-tank = Der Tank ist zu { $level } % voll.
seen-settled = Das Läppkorn hat sich abgesetzt: oben im Tank ist es klar.
seen-agitator-off = Der Schalter des Rührwerks am Tank ist aus: es dreht nicht.
seen-agitator-blade = Der Motor des Rührwerks dreht, aber sein Flügel steht.
seen-agitator-fits = Das Rührwerk dreht ruckweise.
seen-agitator-turns = Das Rührwerk dreht.
seen-agitator-ready = Das Rührwerk ist am Tank eingeschaltet und dreht mit dem Zyklus.
seen-line-blocked = Der Schlauch ist prall, und nichts kommt heraus: verstopft.
seen-line-plug = Am Ende der Leitung sitzt ein trockener Pfropfen.
seen-line-uneven = Läppmittel kommt ungleichmäßig.
seen-line-runs = Läppmittel läuft, wie es soll.
seen-line-clear = Die Leitung ist frei.

## Was sich beim Entnehmen der Teile findet (found.rs)

# Steht als $which in der Zeile darunter und über den Bildern
found-which = Teil { $part } (Läuferscheibe { $carrier }, Aussparung { $pocket })
found-flat-laid = Planglas aufgelegt
found-flat-tipped = Planglas um { $bands } Streifen gekippt
# $faces: was sich auf beiden Flächen zeigt, mit einem Semikolon dazwischen
found-under-the-flat = Unter dem Planglas ist { $which } das schlechteste: { $faces }.
found-untouched = Die Teile sind, wie sie kamen: nichts hat sie berührt.
found-unmeasured = { $whole } ganze Teile liegen auf der Werkbank, ungemessen. Messen, Planglas auflegen und beurteilen.
# Alles außer $whole sind Maße; $least und $target kommen ohne ihre Einheit, die gleich folgt
found-measured = { $whole } ganze Teile gemessen: Mittel { $mean }, von { $least } bis { $most } (± { $uncertainty }), verlangt { $target } ± { $tolerance }.
found-off-size = { $under } zu dünn, { $over } zu dick.
found-scratched = { $parts } verkratzt: feine Linien über ihre Flächen, die auch das Läppbild nicht verbirgt.
found-cracked = { $parts } gerissen: sie trugen mehr, als sie können.
found-scored = Die Läppscheiben haben Riefen: sie drehten ohne Läppmittel dazwischen.
found-carriers = Läuferscheiben sind beschädigt: abgenutzte Zähne oder Spuren der Läppscheibe darauf.
found-no-marks = Keine Risse, keine Spuren an Läppscheiben oder Läuferscheiben.

## Der Bediener prüft die Teile (inspect.rs)

refused-parts-to-measure = { $there } ganze Teile liegen auf der Werkbank: davon 1 bis { $there } messen
# $sizes: fünf Maße, mit einem Semikolon dazwischen
found-readings = Teil { $part } (Läuferscheibe { $carrier }): { $sizes }.
refused-unknown-verdict = `{ $verdict }` ist kein Urteil; eines von { $known }
refused-gauge-room = in dieser Übung werden die Teile beim Entnehmen für Sie gemessen
refused-no-parts = auf der Werkbank liegen keine geläppten Teile: erst aus der Maschine entnehmen

## Hände an Maschine und Bedienfeld (hands.rs). Was abgelehnt wird, steht hinter einem Doppelpunkt: klein, ohne Punkt

seen-locked-out = Nichts bewegt sich: Strom und Druckluft sind getrennt, und Ihr Schloss hält sie abgeschaltet.
refused-too-many-wait = { $acts } Handlungen warten schon auf die Steuerung: Zeit vergehen lassen
refused-guard-locked = der Riegel der Schutztür hält sie: erst entriegeln, wo das bei Stillstand erlaubt ist
refused-loaded = in der Maschine liegen schon Läuferscheiben mit Teilen
refused-empty = in der Maschine sind keine Läuferscheiben
refused-proves-nothing = nichts bewegt sich, aber bei offener Schutztür beweist das nichts für Ihr Schloss: Schutztür schließen und verriegeln, dann drücken
refused-unknown-statement = `{ $id }` lässt sich hier nicht übergeben; eines von: { $known }
refused-guard-shut = die Schutztür ist geschlossen: entriegeln, dann öffnen
refused-not-parked = die Läppscheibe ist nicht geparkt: niemand greift unter eine Läppscheibe, die nicht von ihrem Bolzen gehalten wird
refused-no-such-slot = auf Platz { $slot } ist kein Rezept: kein Platz hat diese Nummer; Rezepte sind auf den Plätzen 1 bis { $last }
refused-empty-slot = auf Platz { $slot } ist kein Rezept: dort ist nichts gespeichert; Rezepte sind auf den Plätzen 1 bis { $last }
# $why: auf Englisch; ein Flash, der versagt
refused-unread-slot = auf Platz { $slot } ist kein Rezept: { $why }; Rezepte sind auf den Plätzen 1 bis { $last }
refused-no-flatness-control = erst ein Rezept abrufen, das die Läppscheiben eben hält: es sagt, womit ihre Form gemeldet wird
refused-other-than-straightedge = dieses Rezept rechnet in µm nach dem Lineal: diese melden
refused-other-than-bands = dieses Rezept rechnet in Lichtinterferenzstreifen auf den Teilen: diese melden
seen-loaded = Läuferscheiben und Teile liegen in der Maschine. Zählen, bevor Sie die Schutztür schließen.
refused-unknown-mode = `{ $mode }` ist keine Betriebsart; eine von { $known }
refused-unknown-movement = `{ $movement }` ist keine Bewegung; eine von { $known }

## Der Tipptaster (grip.rs)

# $why: einer der Gründe darunter
grip-in-vain = Tipptaster: nichts bewegt sich: { $why }
# $time: in s oder min
grip-lowers = Senkt mit Kriechgeschwindigkeit: { $time } bis zu den Teilen.
grip-not-setup = er ist für Einrichten, und das ist nicht gewählt
grip-no-movement = keine Bewegung ist gewählt
grip-key-off = der Einrichtschlüssel ist aus
grip-guard = die Schutztür ist nicht geschlossen und verriegelt
grip-not-reset = etwas, was die Maschine gestoppt hat, ist nicht zurückgesetzt
grip-row-not-reset = Zeile { $row } ({ $name }) ist nicht zurückgesetzt
grip-not-at-rest = die Maschine ist noch nicht in Ruhe; loslassen und noch einmal halten
grip-plate-up = die Läppscheibe ist oben und verbolzt
grip-plate-down = die Läppscheibe ist unten
grip-jog-dry = die Läppscheibe liegt auf den Teilen, und nichts dreht trocken; erst heben
grip-not-on-rings = die Läppscheibe liegt nicht auf ihren Abrichtringen
grip-no-recipe = kein Rezept ist abgerufen
