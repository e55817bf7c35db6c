# Handlungen, Abhilfen, Aufgaben und was aus ihnen wird. Die Reihenfolge ist die des Codes, der danach fragt.

# Was getan wird. Eine Handlung ist eine kurze Überschrift ohne Punkt.
act-press-emergency-stop = Not-Halt gedrückt
act-release-emergency-stop = Not-Halt entriegelt
act-unlock-guard = Schutztür: entriegeln
act-lock-guard = Schutztür: verriegeln
act-open-guard = Schutztür geöffnet
act-close-guard = Schutztür geschlossen
act-load-carriers = Läuferscheiben und Teile eingelegt
act-unload-carriers = Läuferscheiben und Teile entnommen
act-count-parts = Teile gezählt
act-lay-flat = Planglas aufgelegt
act-check-slurry = Läppmittel, Rührwerk und Leitung geprüft
act-raise = Heben
act-acknowledge = Alarme quittiert
act-understood = Verstanden
act-measure-parts =
    { $parts ->
        [one] Ein Teil an fünf Stellen gemessen
       *[other] { $parts } Teile an fünf Stellen gemessen
    }
# Das Urteil ist eines der Wörter der Maschine: „angenommen: sie dürfen weiter“, „zurückgewiesen: zu dick“.
act-judge-parts = Teile { $verdict }
act-confirm-parts = Bestätigt: { $pieces } Stück
act-recall-recipe = Rezept von Platz { $slot } abgerufen
act-set-mode = Betriebsart: { $mode }
act-setup-key-on = Einrichtschlüssel ein
act-setup-key-off = Einrichtschlüssel aus
act-select-move = Einrichtbewegung: { $movement }
act-hold-to-run = Tipptaster gehalten
act-let-go = Tipptaster losgelassen
act-diagnose-nothing = Diagnose: nichts
act-diagnose = Diagnose: { $component }
act-remedy = In Ordnung bringen lassen: { $component }
act-hand-over = Übergeben: { $statement }
# Die Zahlen sind schon geschrieben, mit ihren Vorzeichen.
act-report-by-straightedge = Form der Läppscheiben nach dem Lineal: unten { $lower }, oben { $upper }
act-report-by-bands = Form der Läppscheiben nach Interferenzstreifen: unten { $lower }, oben { $upper }
act-report-form = Form der Läppscheiben nach { $by }: unten { $lower }, oben { $upper }

# Was zwischen Zyklen getan wurde, ebenso.
done-lay-straightedge = Lineal über beide Läppscheiben gelegt
done-condition-plates = Läppscheiben abgerichtet
done-sample-slurry = Probe des Läppmittels genommen
done-mix-slurry = Läppmittel auf seine Körner gebracht
done-change-slurry = Läppmittel gewechselt, Tank und Leitung gespült
done-wash-machine = Läppscheiben, Läuferscheiben und Stiftkränze gewaschen
done-hang-lock = Strom und Druckluft getrennt, eigenes Schloss und Schild angehängt
done-take-lock-off = Eigenes Schloss abgenommen, Strom und Druckluft wieder da

# Arten, wie eine Komponente ausfällt, je ein Wort, hinter ihrem Namen und einem Doppelpunkt.
failing-off = ausgefallen
failing-stuck = hängt
failing-garbage = zufällig
failing-wrong = falsch
failing-slow = träge
failing-delayed = verzögert
failing-intermittent = aussetzend

# Wie etwas in Ordnung gebracht wird: was (darunter), wie viele Minuten, und wo.
remedy-outside = { $what } ({ $minutes } min, außerhalb der Schutztür)
remedy-inside = { $what } ({ $minutes } min, Schutztür offen, Läppscheibe geparkt)
remedy-regulator = Druckregler tauschen lassen
remedy-dump-valve = Entlüftungsventil tauschen lassen
remedy-dump-feedback = Rückmeldeschalter des Entlüftungsventils tauschen lassen
remedy-counterbalance = Regler des Gewichtsausgleichs einstellen lassen
remedy-rod-valve = Rückschlagventil der Stangenseite tauschen lassen
remedy-rod-switch = Druckschalter der Stangenseite tauschen lassen
remedy-air-supply = Druckluftversorgung wiederherstellen lassen
remedy-load-cell = Kraftmessdose und ihren Verstärker tauschen und prüfen lassen
remedy-cap-transmitter = Druckaufnehmer der Kolbenseite tauschen lassen
remedy-height-transmitter = Höhenaufnehmer tauschen lassen
remedy-parking-pin = Parkbolzen instand setzen lassen
remedy-swing-arm = Schalter des Schwenkarms einstellen lassen
remedy-emergency-stop-a = Kanal A des Not-Halts instand setzen lassen
remedy-emergency-stop-b = Kanal B des Not-Halts instand setzen lassen
remedy-guard-a = Kanal A des Schutztürschalters instand setzen lassen
remedy-guard-b = Kanal B des Schutztürschalters instand setzen lassen
remedy-guard-lock = Zuhaltung der Schutztür instand setzen lassen
remedy-drive-inner = Antrieb des Innenstiftkranzes prüfen und seine Störung zurücksetzen lassen
remedy-drive-outer = Antrieb des Außenstiftkranzes prüfen und seine Störung zurücksetzen lassen
remedy-drive-lower = Antrieb der unteren Läppscheibe prüfen und seine Störung zurücksetzen lassen
remedy-drive-upper = Antrieb der oberen Läppscheibe prüfen und seine Störung zurücksetzen lassen
remedy-pump = Läppmittelpumpe instand setzen lassen
remedy-slurry-line = Läppmittelleitung frei machen und spülen
remedy-flow-switch = Durchflusswächter tauschen lassen
remedy-agitator = Rührwerk in Ordnung bringen und am Tank einschalten
remedy-tank-level = Füllstandaufnehmer tauschen lassen
remedy-rinse-water = Spülwasser wiederherstellen lassen
remedy-cooling = Kühlung der Läppscheiben wiederherstellen lassen
remedy-temperature-lower = Temperaturfühler der unteren Läppscheibe tauschen lassen
remedy-temperature-upper = Temperaturfühler der oberen Läppscheibe tauschen lassen
remedy-gauge = Dickentaster in Ordnung bringen lassen
remedy-parts = Teile lösen oder richtig legen, nach dem sicheren Verfahren dieser Maschine
remedy-drive-dog = Mitnehmer der oberen Läppscheibe in Ordnung bringen lassen
remedy-tick = Steuerung prüfen lassen

# Was ein Bediener zwischen Zyklen tut, gesagt wie die Abhilfen darüber.
task-lay-straightedge = Lineal über beide Läppscheiben legen
task-condition-plates = Abrichtringe einlegen, Schutztür schließen, beide Läppscheiben eben abrichten
task-sample-slurry = Probe des Läppmittels nehmen
task-mix-slurry = Läppmittel auf seine Körner bringen
task-change-slurry = Läppmittel wechseln, Tank und Leitung spülen
task-wash-machine = Läppscheiben, Läuferscheiben und Stiftkränze waschen
task-hang-lock = Strom und Druckluft trennen, eigenes Schloss und Schild anhängen
task-take-lock-off = eigenes Schloss abnehmen, Strom und Druckluft wiedergeben

# Der Versuch.
attempt-broken-off = Der Versuch ist hier abgebrochen: { $why }.
# Warum eine Steuerung nicht erreicht wird; steht hinter einem Doppelpunkt, vor einem Punkt.
port-lost = die Verbindung zur Steuerung an { $at } ging verloren; prüfen, dass sie läuft, und den Lauf neu beginnen
port-timeout = die Steuerung an { $at } beantwortete einen Takt nicht binnen { $waited } ms; prüfen, dass sie nicht in einem Debugger steht und nichts anderes die Leitung belegt
port-protocol = die Steuerung an { $at } antwortete mit { $what }; prüfen, dass beide Seiten aus derselben Version gebaut sind
# Warum etwas abgelehnt wird, beginnt klein und hat keinen Punkt: es steht hinter einem Doppelpunkt.
attempt-over = der Versuch ist vorbei
attempt-full = mehr Handlungen, als ein Versuch fassen kann
act-refused = { $act }: abgelehnt: { $why }
attempt-time-up = Die Zeit der Übung ist um.
cannot-go-back = die Steuerung dieser Sitzung kann nicht in der Zeit zurückgesetzt werden: eine neue Sitzung beginnen
attempt-went-back = Zurückgegangen auf { $seconds } s.

# Störungen, die ein Ausbilder einspielt.
fault-unknown-mode = `{ $mode }` ist keine Art auszufallen
unknown-component = `{ $component }` ist keine Komponente; eine von { $known }
instructed-put-right = { $component }: in Ordnung gebracht
fault-unsupported = { $component } kann nicht als „{ $mode }“ ausfallen; möglich ist: { $known }
fault-magnitude = Größe { $given } für { $component } „{ $mode }“ ist nicht brauchbar; anzugeben ist { $wanted }
fault-plate-down = Teile können nur falsch liegen, solange die Läppscheibe nicht auf ihnen ist; diese Störung vor dem Aufsetzen oder nach dem Abheben beginnen
magnitude-finite = eine endliche Zahl in der Einheit der Tabelle
magnitude-time = mehr als 0 s und höchstens 600 s
magnitude-count = eine Anzahl von mindestens 1

# Wie die Übung steht, unterwegs gesagt.
progress-done = Getan: { $what }
progress-late = Getan, aber zu spät: { $what }
progress-missed = Nicht rechtzeitig getan: { $what }
progress-wrong = So nicht: { $what }. { $why }

# Aufgaben zwischen Zyklen: warum eine nicht begonnen werden kann.
unknown-task = `{ $task }` ist keine Aufgabe; eine von { $known }
tend-held = ein Zyklus ist gehalten: erst beenden und die Läppscheibe parken
tend-lock-hangs = Ihr Schloss hängt schon dort
tend-no-lock = an der Maschine hängt kein Schloss von Ihnen
tend-lock-holds = es braucht die Antriebe oder die Pumpe, und Ihr Schloss hält sie abgeschaltet
tend-loaded = auf der Läppscheibe liegen Läuferscheiben mit Teilen: erst entnehmen
tend-no-rings = für diese Maschine gibt es keine Abrichtringe
tend-not-shut = die Läppscheiben drehen dafür unter Last: Schutztür schließen und verriegeln

# Was aus ihnen wurde.
tended-condition-plates = Beide Läppscheiben sind abgerichtet. Das Lineal darüber legen, um zu sehen, was es bewirkt hat.
tended-mix-slurry = Das Läppmittel ist auf die Körner des Rezepts gebracht. Stumpfe Körner bleiben darin.
tended-change-slurry = Tank und Leitung sind geleert, gespült und mit frischem Läppmittel gefüllt.
tended-wash-machine = Läppscheiben, Läuferscheiben und Stiftkränze sind gewaschen.
tended-hang-lock = Der Trennschalter der Antriebe ist aus, die Druckluft ist hinter ihrem Ventil abgesperrt und entlüftet; Ihr Schloss und Schild hängen an beiden. Bedienfeld und Messgeräte behalten ihre Versorgung. Vor dem Hineingreifen nachweisen: Schutztür geschlossen und verriegelt, Start drücken und sehen, dass sich nichts bewegt.
tended-take-lock-off = Ihr Schloss ist ab, Strom und Druckluft sind wieder da.
straightedge-lower = innerer Rand { $amount } niedriger als der äußere
straightedge-higher = innerer Rand { $amount } höher als der äußere
tended-straightedge = Nach dem Lineal: untere Läppscheibe: { $lower }; obere Läppscheibe: { $upper }. Höher heißt: zu den Teilen hin.
sample-sharp = Nach Gewicht enthält das Läppmittel { $percent } % Körner. Unter der Lupe sind sie scharf.
sample-rounded = Nach Gewicht enthält das Läppmittel { $percent } % Körner. Unter der Lupe sind ihre Kanten gerundet.
sample-worn = Nach Gewicht enthält das Läppmittel { $percent } % Körner. Unter der Lupe sind sie rund gelaufen.
sample-coarse = Einige oder alle sind ein Mehrfaches so groß wie die des Rezepts.
sample-dark = Das Läppmittel ist dunkel von Abrieb.

# Jemand ist bei der Arbeit. Was im Gang ist, ist eine Abhilfe oder eine Aufgabe, wie oben.
work-being-put-right = In Arbeit: { $what }
work-under-way = In Arbeit: { $what }
work-no-diagnosis = erst sagen, was Ihrer Meinung nach nicht stimmt, dann in Ordnung bringen lassen
remedy-under-way = In Arbeit: { $what }. Trennen, gegen Wiedereinschalten sichern, Energiefreiheit nachweisen; wer es tut, ist dafür ausgebildet.
work-not-at-rest = die Maschine ist nicht in Ruhe: nichts wird an ihr getan, solange sich etwas bewegen kann
work-locked-off = jemand arbeitet an ihr ({ $what }) und hat die Maschine mit Schloss gesichert
work-nothing-wrong = { $component }: angesehen, und alles war in Ordnung.
work-put-right = { $component }: in Ordnung gebracht.

# Eine Zeile des Schichtbuchs, hinter dem Arbeitsauftrag.
shift-book = Schichtbuch: { $line }
