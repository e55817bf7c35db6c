# Was jede Seite der Maschine zeigt, für Bediener und Ausbilder gleichermaßen. Die Reihenfolge ist die der Dateien, die danach fragen.

# --- say.js: die Taste für Hell und Dunkel nennt, wohin ein Druck führt

theme-light = Hell
theme-dark = Dunkel

# --- api.js

api-answered = der Server antwortete mit { $status }

# --- link.js: die Verbindung zum Server

link-connecting = Verbinden…
link-again = Verbindung verloren. Neuer Aufbau…
link-not-connected = Nicht verbunden: nichts wurde getan.
link-no-answer = Die Verbindung ging verloren, bevor eine Antwort kam. Die Maschine ansehen, bevor Sie es noch einmal versuchen.
link-closed = Die Verbindung ist geschlossen.
link-lost = Verbindung verloren. Was Sie sehen, ist veraltet; kein Tastendruck hat eine Wirkung.

# --- words.js

# Eine Stopp-Kategorie (IEC 60204-1), 0 bis 2, und mit dem, was sie tut.
words-category = Kategorie { $category }
words-category-does = Kategorie { $category }: { $does }
# Tasten für das Tempo der Zeit, neben „1×“ und „5×“.
words-pause = Pause
words-fastest = Max
# Am Ende des Titels einer Vorführung; dort wird es weggenommen.
words-invented = (erfunden)

# --- panel.js: Zustand, Ansicht und was wirksam ist

panel-state = Zustand
panel-cut = Schnitt, Draufsicht
panel-lamps = Lampen und Schalter
panel-instruments = Drehzahlen, Läppmittel, Maß, Versorgung
panel-scale = Quer nicht maßstäblich; Höhen nach der Skala links.
# Zwei Tasten und was sie wählen.
panel-section = Schnitt
panel-plan = Von oben
panel-view = Ansicht
panel-missing = Es fehlt: { $what }.
panel-time-stopped = Zeit angehalten
# Das Tempo der Zeit, das erreicht wird, „4,8“.
panel-kept = { $pace }× erreicht
panel-step = Schritt { $n } von { $all } „{ $name }“
panel-recipe = Rezept { $slot } { $id }
panel-recipe-slot = Rezept { $slot }
panel-no-recipe = kein Rezept
panel-confirmed = { $n } von { $all } Teilen bestätigt
# Zeiten, die ein Schritt seine Last im Band gehalten hat, „1:30“.
panel-spent-of = { $spent } von { $asked } im Band
panel-spent = { $spent } im Band
# Die Zeile der Verriegelungen, die zuerst kam; „Zeile“ steht für einen unbekannten Namen.
panel-cause = Erstursache: { $name } (Zeile { $row })
panel-row = Zeile
panel-stop = Stopp
panel-no-force = Weder Stopp noch Halt noch Sperre wirksam.

# --- ladder.js

ladder-title = Phasenfolge
# Wo der Zyklus die Leiter verließ: wenig Platz.
ladder-left = Ende
ladder-beside = Außer der Folge: { $phase }

# --- load.js

# Die ganze Zeit, neben „1 min“ und „5 min“.
load-all = alles
load-windows = Länge des Verlaufs
load-chart = Last der letzten Minuten mit Phasen, Sollwert und Grenze
load-title = Last
load-reference = Sollwert
load-limit = Grenze
load-ribbon = Zyklusverlauf
load-gauge = Lastanzeige
load-over = ▲ über der Grenze
load-weight = Gewicht von { $mass }
load-no-reference = keiner
load-no-limit = keine
load-since = Last seit { $time }

# --- section.js

section-picture = Schnitt durch die Läppscheiben
section-scale = Spalt, { $unit }
section-on-parts = auf den Teilen
section-gap = Spalt { $height }

# --- plan.js

plan-picture = Draufsicht: die Maschine von oben
plan-nothing-turns = Von oben. Nichts dreht.
plan-from-above = Von oben.
# Drehzahlen mit einem Pfeil für die Richtung.
plan-carriers = Läufer: Umlauf { $orbit }, Drehung { $spin } 1/min.
plan-slowed = Gezeigt mit 1×.

# --- instruments.js

instruments-speeds = 1/min; Moment
instruments-inner = innen
instruments-outer = außen
instruments-lower = unten
instruments-upper = oben
instruments-slurry = Läppmittel
instruments-flow = Durchfluss
instruments-rinse = Spülen
instruments-tank = Tank
instruments-size = Maß, { $target } ± { $tolerance }
instruments-gauge = Dicke
instruments-services = Versorgung
instruments-air = Druckluft
instruments-pump-on = ein
instruments-pump-off = aus
instruments-valve-open = Ventil offen
instruments-stirred = gerührt
instruments-not-stirred = still
# Das Maß nach dem Dickentaster: unter, in und über seiner Toleranz, und nicht gemessen.
instruments-under = ▼ zu dünn
instruments-in-size = im Maß
instruments-above = darüber
instruments-unknown = kein Wert
# Lampen, jede mit „ja“ oder „nein“ dahinter für den, der sie nicht sieht.
instruments-guard-open = Tür offen
instruments-guard-locked = Tür verriegelt
instruments-loaded = Teile darin
instruments-pin = Bolzen drin
instruments-drives = Antriebe ein
instruments-standstill = Stillstand
instruments-pump = Pumpe läuft
instruments-agitator = Rührwerk ein
instruments-own-lock = Schloss hängt
instruments-lamps = Lampen
instruments-yes = ja
instruments-no = nein

# --- alarms.js

alarms-title = Alarme
alarms-all = Alle
alarms-no-alarm = Kein Alarm. Jede Verriegelung ist erfüllt.
# Wie viele es sind, und wie viele davon auf das Quittieren warten.
alarms-tally = { $all } · { $fresh } neu
alarms-none = keine
# Wird vorgelesen, wenn ein Alarm kommt.
alarms-line = Alarm { $row }: { $happened }
alarms-first = Erstursache
# Köpfe der Tabelle der Verriegelungen.
alarms-state = Zustand
alarms-interlock = Verriegelung
alarms-watched = Überwacht
alarms-response = Reaktion
alarms-released = Freigabe
alarms-what = Was geschah; was zu tun ist
alarms-close = Schließen
alarms-table = Tabelle der Verriegelungen
# Eine Zeile, die nicht bekannt ist.
alarms-unknown-name = Zeile { $row }
alarms-unknown = Verriegelung { $row }

# --- sound.js

sound-on = ♪ ein
sound-off = ♪ aus
sound-named-on = Alarmton, ein
sound-named-off = Alarmton, aus

# --- news.js: die Ereignisliste, jede Zeile mit der Art dessen, was geschah

news-done = getan
news-moved = Wechsel
news-interlock = Verriegelung
news-refused = abgelehnt
news-seen = gesehen
news-instructor = Ausbilder
news-exercise = Übung
news-found = Befund
news-list = Ereignisliste, neueste zuerst
news-title = Ereignisliste
