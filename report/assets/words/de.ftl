# The words of the sheet in German, in the syntax of Project Fluent.
#
# Not reviewed by a native practitioner of floor care. Signal words as usual in
# German signs by ANSI Z535 and ISO 3864-2: WARNUNG, HINWEIS.

## Numbers and dates

not-known = nicht bekannt
figure-under = unter { $value }
figure-over = über { $value }
unit-speed-us = mph
unit-speed-si = m/s
unit-area-us = ft²
unit-area-si = m²
unit-length-us = Zoll
unit-length-si = mm
unit-distance-us = mi
unit-distance-si = km

date-long = { $weekday } { $day }. { $month } { $year }
date-day = { $day }. { $month }
date-day-year = { $day }. { $month } { $year }
date-mon = Mo.
date-tue = Di.
date-wed = Mi.
date-thu = Do.
date-fri = Fr.
date-sat = Sa.
date-sun = So.
date-jan = Jan.
date-feb = Feb.
date-mar = März
date-apr = Apr.
date-may = Mai
date-jun = Juni
date-jul = Juli
date-aug = Aug.
date-sep = Sept.
date-oct = Okt.
date-nov = Nov.
date-dec = Dez.

## Signal words

signal-warning = WARNUNG
signal-notice = HINWEIS

## Layout and text for terminals

layout-page = Seite { $number } von { $count }
layout-continued = { $heading }, Fortsetzung
layout-something-to-do = etwas zu tun
layout-nothing-to-draw = Keine Bürstenzeit beobachtet: Es gibt nichts zu zeichnen.
layout-band = Band { $band }
layout-faster = schneller
layout-brush-on = Bürste ein
layout-events = Vorfälle
layout-sign-standing = Bürste drehte im Stand
layout-sign-stall = Motor blockiert
layout-sign-pressure = zu viel Druck
layout-sign-other = anderes
layout-numbers = Nummern: siehe Vorfälle.
layout-numbers-and-current = Nummern: siehe Vorfälle. Strom: höchster Motor.
text-speed = Tempo
text-current = Strom
text-events = Vorfälle
text-time = Zeit
text-ribbon =
    Mittleres Tempo, größter Strom; ein voller Block ist { $speed } bei { $fastest },
    { $current } bei { $strongest }. / keine Messwerte, das heißt nicht null. v Bürste drehte im
    Stand, S Motor blockiert, o zu viel Druck.
text-ribbon-other =
    Mittleres Tempo, größter Strom; ein voller Block ist { $speed } bei { $fastest },
    { $current } bei { $strongest }. / keine Messwerte, das heißt nicht null. v Bürste drehte im
    Stand, S Motor blockiert, o zu viel Druck, + anderes.
text-bars = { $label }; Minuten. # in einem Band, = außerhalb
text-up = mehr

## Frame of the sheet

sheet-title = Schichtblatt, { $machine }, { $date }
sheet-heading = Schichtblatt, { $date }
sheet-subject = Arbeit einer Bodenmaschine in { $site }
sheet-of-no-machine = Schichtblatt ohne Maschine
sheet-hours = { $begin-date }, { $begin } bis { $end-date }, { $end }
sheet-clocks-change = { $length }: In dieser Schicht wechselt die Uhr von { $from } auf { $to }
sheet-unprintable =
    Einige Namen oder Meldungen enthalten Buchstaben, die der Schrift dieses Blattes fehlen, oder
    verborgene Zeichen; jedes ist als { $sign } gedruckt.
sheet-unprintable-foot = { $foot }; { $sign } ist ein Buchstabe, der hier nicht gedruckt werden kann
heading-glance = Auf einen Blick
heading-speeds = Zeit bei jedem Tempo, Bürsten drehen
heading-ribbon = Die Schicht im Verlauf
heading-events = Vorfälle
heading-sections = Abschnitte
heading-motors = Bürstenmotoren
heading-segments = Segmente
heading-data = Daten
heading-nothing-recorded = In dieser Schicht wurde nichts aufgezeichnet
heading-what-to-check = Was zu prüfen ist
heading-problems = Fehler in den Daten
heading-remarks = Im Schichtbuch vermerkt
nothing-recorded =
    Keine Aufzeichnung dieser Maschine deckt diese Stunden ab. Was auf dem Boden gemacht wurde,
    ist nicht bekannt: Diese Seite sagt nicht, dass nicht gearbeitet wurde.

## On every sheet

heading-checks = Prüfungen von Hand
heading-cautions = Vorsicht
check-segment = Wöchentlich: kürzestes Segment ________ { $unit }, notiert
check-brushes = Bürsten drehen frei; kein Segment lose oder fehlend
check-water = Wasser läuft zu jeder Bürste; Tanks und Filter sauber
check-vacuum = Absaugung und Saugfuß hinterlassen keine Streifen
check-battery = Batterie geladen; Stecker und Kabel heil
check-grit = Richtige Körnung für den nächsten Schritt montiert, notiert
check-recorder = Licht des Rekorders an, Brücke eingesteckt
caution-before-hands =
    Bevor Hände in die Nähe der Bürsten kommen: Maschine anhalten, Schlüssel abziehen, Batterie
    abklemmen.
caution-wet = Nasser Boden ist rutschig: absperren, bis er trocken ist.
caution-slurry = Schlamm kann Quarz enthalten: nass halten, nicht trocken kehren.
caution-battery = Batterie lädt: lüften; keine Flammen, keine Funken.
caution-manual =
    Betriebsanleitung der Maschine, örtliche Vorschriften und Fachleute gehen diesem Blatt vor.
sign-operator = Bediener
sign-lead = Leitung
sign-date = Datum und Uhrzeit
missing-used = Wurde die Maschine benutzt? Wenn nicht, ist nichts falsch.
missing-power = Hat der Rekorder auf der Maschine Strom, und leuchtet sein Licht?
missing-bridge = Ist die Brücke eingesteckt, und sitzen ihre Kabel fest?
missing-copied = Wurden die Aufzeichnungen von dieser Maschine kopiert, und in den gelesenen Ordner?
missing-settings = Stimmen Kennung der Maschine und Uhr des Rekorders mit den Einstellungen überein?

## The lead's questions

ask-speed = Richtiges Tempo, und wie lange?
ask-standing = Bürste im Stand gedreht?
ask-area = Wie viel Fläche, welche Gänge?
ask-motor = Motor blockiert, zu viel Druck?
ask-steps = Welcher Schritt fertig, was nun?
ask-blade = Wie viel Segment ist übrig?
ask-data = Wie vollständig sind die Daten?

## Charts

chart-not-recorded = nicht aufgezeichnet
chart-no-readings = keine Messwerte
chart-speed = Tempo, { $unit }
chart-current = Strom, A
chart-minutes = Minuten
chart-shades = Dunkel: in einem Band. Hell: außerhalb.
chart-ribbon-legend =
    Linie: Mittel über { $time }, dick außerhalb des Bandes; gestrichelt: Band; grau: kleinster
    bis größter Wert; schräg: keine Messwerte.
chart-too-slow = zu langsam
chart-in-band = im Band
chart-too-fast = zu schnell
chart-no-band = kein Band
chart-band = Band
chart-slow = Langsam
chart-in = Im Band
chart-fast = Schnell
chart-all = Alles
heading-bars = Bürstenzeit nach Tempo
heading-wrong = Fehler in den Daten

## Heads of columns in several tables

column-work = Arbeit

## Names of places, work and motors

place-nobody-marked = einem nicht markierten Abschnitt
place-unknown-section = Abschnitt Nummer { $number } (nicht in der Standortdatei)
place-not-marked = nicht markiert
place-step = Schritt { $number }
place-step-and-grit = Schritt { $number } (Körnung { $grit })
place-daily = tägliche Pflege
place-work-step = Schritt { $number }
place-work-daily = Tägliche Pflege
place-work-not-marked = Nicht markiert
place-work-and-grit = { $work }, Körnung { $grit }
place-motor-left = 1 (links)
place-motor-right = { $number } (rechts)
