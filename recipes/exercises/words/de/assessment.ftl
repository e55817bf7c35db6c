# Deutsch.

title = Prüfung: eine Charge Übungsronden (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen. Läuferscheiben und Teile sind eingelegt, 15 sind gezählt, das Rezept ist abgerufen. Stückzahl bestätigen, starten und die Charge zu Ende bringen, oder die Maschine in Grundstellung, wo das nicht mehr möglich ist; die Teile entnehmen und messen lassen und die Schutztür schließen. Es kann etwas schiefgehen oder auch nichts. Geht etwas schief: erst sagen, was es vermutlich ist, dann etwas in Ordnung bringen lassen.
