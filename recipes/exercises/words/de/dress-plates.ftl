# Deutsch.

title = Läppscheiben mit dem Lineal prüfen und abrichten (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen, auf 5 µm eben. Vor der Charge werden die Läppscheiben geprüft: das Lineal über beide legen. In dieser Werkstatt laufen Läppscheiben auf 3 µm eben; was weiter abweicht, wird mit den Abrichtringen abgerichtet und wieder geprüft. Die zuletzt abgelesene Form melden, in µm: +, wo der innere Rand höher steht. Dann läppen. Die Maschine ist inaktiv und leer, das Rezept ist auf Platz 1.
practise = Üben: die Läppscheiben vorher und nachher messen und melden, was zuletzt abgelesen wurde, mit seinem Vorzeichen, auf 1 µm genau.
expected-look = Das Lineal über beide Läppscheiben legen.
expected-dress = Läppscheiben abrichten: sie weichen um mehr als 3 µm ab.
expected-again = Das Lineal noch einmal auflegen. Es zeigt, wie weit die Abrichtringe gekommen sind.
expected-recall = Rezept des Arbeitsauftrags abrufen: Platz 1.
expected-report = Form beider Läppscheiben melden. Es gilt, was zuletzt abgelesen wurde, mit seinem Vorzeichen.
expected-load = Läuferscheiben einlegen, wenn die Läppscheiben in Ordnung sind.
expected-count = Teile zählen, wo sie liegen.
expected-confirm = 15 Stück bestätigen.
expected-complete = Zyklus zu Ende bringen.
expected-unload = Teile entnehmen und messen lassen.
forbidden-unlooked = Der Zyklus wurde auf Läppscheiben gestartet, die niemand geprüft hatte.
forbidden-undressed = Der Zyklus wurde auf Läppscheiben gestartet, die weiter abweichen, als die Werkstatt erlaubt: Teile nehmen die Form der Läppscheiben an.
forbidden-blind-dress = Es wurden Läppscheiben abgerichtet, die niemand geprüft hatte: Abrichten bringt gute aus der Form.
forbidden-unproven = Niemand hatte nachgesehen, was das Abrichten bewirkt hat.
