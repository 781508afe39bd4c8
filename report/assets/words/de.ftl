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

## Counts

count-times = { $count ->
        [one] { $count } Mal
       *[other] { $count } Mal
    }
count-sections = { $count ->
        [one] { $count } Abschnitt
       *[other] { $count } Abschnitte
    }

## The table of sections

column-section = Abschnitt
column-from-to = Von–bis
column-swept = Überstrichen
sections-none = Auf keinem Abschnitt war Bürstenarbeit zu sehen.
sections-brush-on = Bürste ein
sections-speed = Tempo
sections-passes = Gänge
sections-what-next = Was nun
sections-forbidden = Darf nie poliert werden: Boden ansehen.
sections-done = Fertig.
sections-done-next = Fertig; nun Schritt { $step }.
sections-done-last = Fertig: letzter Schritt.
sections-not-done = Nicht fertig: noch { $time } im Band.
sections-no-section = Nicht bekannt: kein Abschnitt markiert.
sections-no-step = Nicht bekannt: kein Schritt markiert.
sections-stood = Stand { $times }.
sections-all =
    Zusammen { $area } { $unit } überstrichen, { $rate } { $unit } je Stunde Bürstenzeit;
    gefahrener Weg { $way }. Überstrichene Fläche ist Breite der Bürstenspur x Weg: Boden, der
    noch einmal überstrichen wird, zählt noch einmal, auch bei den Gängen (überstrichene Fläche
    durch Fläche des Abschnitts).
sections-overlap-measured =
    Nach dem Weg waren { $share } davon Boden, der im selben Besuch schon überstrichen war: {
    $net } { $unit } netto.
sections-overlap-assumed =
    Der Weg ist zum größten Teil nicht bekannt: mit { $share } Überlappung benachbarter Bahnen
    (angenommen, nicht gemessen) { $net } { $unit } netto.
sections-note-step =
    Ein Schritt ist fertig, wenn seine Minuten im Band in dieser Schicht erreicht sind; Minuten
    früherer Nächte sind noch nicht dazugezählt.
sections-note-speed = Tempo ist das Mittel, während Bürsten drehen.
sections-note-stood = Stand: mit drehenden Bürsten, siehe Vorfälle.
sections-note-book = nach dem Schichtbuch, nicht an der Maschine markiert.
sections-note-unknown =
    nicht bekannt: Ohne Markierung gibt es kein Band und keine Fläche, ohne Bürstenzeit kein
    mittleres Tempo.

## More counts

count-shifts = { $count ->
        [one] { $count } Schicht
       *[other] { $count } Schichten
    }
count-measurements = { $count ->
        [one] { $count } Messung
       *[other] { $count } Messungen
    }
count-days = { $count ->
        [one] { $count } Tag
       *[other] { $count } Tage
    }
count-places = { $count ->
        [one] { $count } Stelle
       *[other] { $count } Stellen
    }

## Segments

segments-grit = Montierte Körnung
segments-grit-on = { $value }, am { $date }
segments-length-on = { $value } am { $date }
segments-measured = Zuletzt gemessen, kürzestes
segments-left = Übrig am Schichtende, geschätzt
segments-order-length = Bestelllänge
segments-order-reached = Bestelllänge erreicht, geschätzt
segments-order-by = Letzter Bestelltag, geschätzt
segments-used-up = Aufgebraucht, geschätzt
segments-rate = Abnutzungsrate
segments-energy = Reibarbeit je Bürste, Schicht
segments-energy-measured = Ebenso, seit der Messung
segments-energy-fitted = Ebenso, seit der Montage
segments-energy-reach = Ebenso, so weit aufgezeichnet
segments-energy-and-shifts = { $energy }, { $shifts } mit Bürstenarbeit
segments-interval = { $best }, 80-%-Bereich { $low } bis { $high }
segments-beyond = nach über zwei Jahren
segments-rate-unit-us = tausendstel Zoll je MJ
segments-rate-unit-si = mm je MJ
segments-rate-from-file = aus der Maschinendatei, nichts gemessen, seit die Aufzeichnungen beginnen
segments-rate-measured = aus { $measurements }
segments-column-brush = Bürste
segments-column-measured = Zuletzt gemessen
segments-column-left = Übrig, 80-%-Bereich
segments-column-order = Bestelllänge erreicht
segments-column-energy = Arbeit seit Montage
segments-left-range = { $best }, { $low } bis { $high }
segments-order-notice = Neue Segmente bestellen (Schätzung); vor der Entscheidung messen.
segments-method-by-file =
    ist die der Maschinendatei, bis Längen in der Zeit der Aufzeichnungen gemessen sind
segments-method-fitted = beginnt mit der der Maschinendatei und wird an Ihre Messungen angepasst
segments-method =
    Verfahren: verlorene Länge = Abnutzungsrate x Reibarbeit der Bürste (aus dem Motorstrom).
    Die Rate { $rate } (Ablesefehler { $error }). Kommende Tage gelten wie die Tage der
    Aufzeichnungen. 80-%-Bereich: 1 von 10 Fällen liegt darunter, 1 von 10 darüber; er enthält
    die Unsicherheit von Rate, Längen und täglichem Gebrauch. Letzter Bestelltag: das frühe Ende
    des Bereichs weniger { $days } Lieferzeit. Eine Schätzung: Was Sie messen, gilt immer mehr.

## Remarks on wear

wear-of-shortest = kürzestes Segment
wear-of-brush = Bürste { $brush }
wear-no-day = Bis das geklärt ist, wird kein Tag genannt: noch einmal messen.
wear-left-out = Sie wurde weggelassen.
wear-rate-differs =
    Die gemessene Abnutzungsrate ({ $whose }), { $found } { $unit }, liegt weit weg von { $given
    } der Maschinendatei: Sind Körnung und Boden die üblichen, die gemessene Rate in
    blade.wear_rate eintragen.
wear-scatter =
    Die gemessenen Längen ({ $whose }) streuen um { $deviation }, mehr als der Messfehler der
    Maschinendatei von { $error }; die Bereiche sind deshalb breiter: jedes Mal dieselben
    Segmente auf dieselbe Weise messen.
wear-longer-than-new =
    Die am { $date } gemessene Länge ({ $whose }), { $length }, ist länger als ein neues
    Segment: im Schichtbuch berichtigen, oder blade.new_length in der Maschinendatei.
wear-grew =
    Die am { $date } gemessene Länge ({ $whose }), { $length }, ist länger als { $from } am {
    $since }, obwohl dazwischen kein Werkzeug montiert wurde: das neue Werkzeug im Schichtbuch
    vermerken oder die Zahl berichtigen.
wear-too-short =
    Die am { $date } gemessene Länge ({ $whose }), { $length }, ist viel kürzer als { $expected
    }, die sich aus der Reibarbeit ergeben: Wurde eine andere Bürste oder Körnung gemessen,
    sitzt die Bürste richtig, sind Segmente gebrochen?
wear-too-long =
    Die am { $date } gemessene Länge ({ $whose }), { $length }, ist viel länger als { $expected
    }, die sich aus der Reibarbeit ergeben: Wurde eine andere Bürste gemessen oder ein Werkzeug
    montiert, das nicht im Schichtbuch steht?
wear-uneven-by-motor =
    Ihr Motor leistete auch { $more } mehr Reibarbeit: prüfen, ob das Deck waagerecht ist und
    beide Seiten gleich anpresst.
wear-uneven-not-by-motor =
    Die Motoren erklären es nicht: prüfen, ob alle Segmente von einer Art sind und fest sitzen,
    und ob dieselben Stellen gemessen werden.
wear-uneven-cause = Prüfen, ob das Deck waagerecht ist und alle Segmente von einer Art sind.
wear-uneven =
    Ungleiche Abnutzung, gemessen am { $date }: Bürste { $first } hat { $short }, Bürste {
    $second } hat { $long }. { $cause } Die Betriebsanleitung der Maschine befolgen.
wear-nothing-noted =
    Kein Werkzeug und keine Länge ist vermerkt: ein Schichtbuch angeben (--book) mit dem Tag der
    Montage und den gemessenen Längen.
wear-not-logged =
    Seit der letzten bekannten Länge vom { $since } gibt es keine Aufzeichnungen: die Segmente
    messen und im Schichtbuch vermerken.
wear-logged-late =
    Die Aufzeichnungen beginnen am { $date }, zu lange nach der letzten bekannten Länge vom {
    $since }: die Segmente messen und im Schichtbuch vermerken.
wear-filled-up =
    Die Aufzeichnungen beginnen am { $date }, die letzte Länge davor ist vom { $since }: Für die
    Tage dazwischen wurde der mittlere Tag angenommen. Zur Sicherheit die Segmente messen.
wear-no-work = Seit { $since } war keine Bürstenarbeit zu sehen: Es lässt sich kein Tag nennen.
wear-far-away = Bei diesem Gebrauch über zwei Jahre bis zur Bestelllänge.
wear-used-up =
    Nach dieser Schätzung ist das gebundene Schleifmittel aufgebraucht: vor dem nächsten Lauf
    messen und neue Segmente nach der Betriebsanleitung der Maschine montieren.
wear-never-measured =
    Nie gemessen seit der Montage am { $date }: Die Länge jenes Tages ist angenommen.
wear-brush-never-measured =
    Bürste { $brush } wurde nie gemessen seit der Montage am { $date }: jede Bürste messen.
wear-measure-due = Zuletzt gemessen am { $date }: heute die Segmente messen.
wear-damaged =
    Die Aufzeichnungen seit der Montage sind an { $places } beschädigt (underbrush verify nennt
    sie): Es kann weniger übrig sein als gezeigt.
wear-little-seen =
    Nur { $share } der aufgezeichneten Zeit seit der Montage wurde beobachtet, zu wenig für ein
    gutes Urteil: Es kann weniger übrig sein als gezeigt. Das Kabel der Brücke prüfen.
wear-future =
    { $count ->
        [one] { $count } Eintrag des Schichtbuchs liegt
       *[other] { $count } Einträge des Schichtbuchs liegen
    } nach der letzten Aufzeichnung, der erste am
    { $date }: weggelassen. Daten prüfen.
wear-which-brush =
    Die am { $date } gemessene Länge nennt keine Bürste: als die von Bürste { $brush } genommen,
    die am meisten gearbeitet hat. Die Länge jeder Bürste notieren.
wear-no-such-brush =
    Die am { $date } gemessenen Längen sind von mehr Bürsten als den { $brushes } der
    Maschinendatei: eines von beiden berichtigen.
wear-not-apart =
    Die Bürstenmotoren sind nicht einzeln aufgezeichnet: Jede Bürste gilt als gleich belastet.
wear-several-tools =
    Am { $date } wurde mehr als ein Werkzeug montiert: Die ganze Nacht zählt für das letzte.

## Ein neu gemachtes Blatt

issue-short = Ausgabe { $number }
issue-replaces = Ausgabe { $number }, anstelle von Ausgabe { $before }: danach kamen weitere
    Aufzeichnungen dieser Nacht an.
