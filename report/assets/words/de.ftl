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
sheet-hours = { $first }, { $begin } bis { $last }, { $end }
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
chart-slow = Unter
chart-in = Im
chart-fast = Über
chart-all = Alle
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
sections-too-early = Zu früh: zuerst Schritt { $step }, noch { $time } im Band.
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
    Ein Schritt ist fertig, wenn seine Minuten im Band erreicht sind, die früherer Nächte und
    aller Maschinen zusammen.
sections-note-speed = Tempo ist das Mittel, während Bürsten drehen.
sections-note-stood = Stand: mit drehenden Bürsten, siehe Vorfälle.
sections-note-book = nach dem Schichtbuch, nicht an der Maschine markiert.
sections-note-assumed = † angenommen: niemand gab an, wo die Maschine war; die Arbeit wurde
    mit dem Plan der Nacht abgeglichen, so sicher ist es.
sections-correct-assumed = Zum Berichtigen den Beginn ins Schichtbuch schreiben, etwa:
    { $lines }
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

## Checks that come round

heading-consumables = Prüfungen an Maschine und Verbrauchsteilen
consumables-due = { $name }: fällig, zuletzt erledigt am { $date }.
consumables-never = { $name }: fällig, noch nicht im Schichtbuch.
consumables-bad = { $name }: am { $date } beanstandet, Abhilfe nicht vermerkt.
consumables-done = { $name }: erledigt.
consumables-later = { $name }: wieder am { $date }.

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
wear-quadrants =
    Ungleich abgenutzt, gemessen am { $date }: { $short } bis { $long } an Bürste { $brush }.
    Prüfen, ob der Bürstenkopf waagrecht steht und die Segmente fest sitzen. Das Handbuch der
    Maschine gilt.
wear-seating =
    Bürste wirkt falsch montiert: die Länge von { $whose }, gemessen am { $date }, { $length }, ist
    weit kürzer als die erwarteten { $expected } seit der Montage am { $fitted }. Vor der nächsten
    Arbeit Sitz und Segmente prüfen. Das Handbuch der Maschine gilt.
wear-seating-uneven =
    Bürste { $brush } wirkt falsch montiert: gemessen am { $date }, { $short } bis { $long } so bald
    nach der Montage am { $fitted }. Vor der nächsten Arbeit Sitz und Lage des Bürstenkopfs
    prüfen. Das Handbuch der Maschine gilt.
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

## Steps

steps-before = Schritt { $step } braucht noch { $time } im Band vor Schritt { $ahead }
steps-go-on = weiter mit Schritt { $step }: noch { $time } im Band
steps-was-last = es war der letzte Schritt
steps-step-done = Schritt { $step } fertig
steps-short-partly = Schritt { $done } fertig, Schritt { $step } nicht
steps-short-open = Schritt { $step } nicht fertig
steps-short-next = Schritt { $done } fertig, nun Schritt { $next }
steps-short-all = alle Schritte fertig
steps-begin = { $step } beginnen
steps-begin-for = { $step } beginnen, { $time } im Band

## Answers

count-gaps = { $count ->
        [one] { $count } Lücke
       *[other] { $count } Lücken
    }
count-bad-frames = { $count ->
        [one] { $count } Telegramm verloren oder beschädigt
       *[other] { $count } Telegramme verloren oder beschädigt
    }
count-problems = { $count ->
        [one] { $count } Problem
       *[other] { $count } Probleme
    }
count-more = { $count ->
        [one] { $count } weiterer
       *[other] { $count } weitere
    }
answer-too-little = Beurteilt nach { $share } der Zeit: zu wenig.
answer-speed-words =
    Richtiges Tempo: „ja“ ab { $yes } der Bürstenzeit im Band, „meist“ ab { $mostly } (eigene
    Wahl).
answer-not-observed = Nicht bekannt: Tempo und Bürste nicht beobachtet
answer-speed-no-mark = Nicht bekannt: { $time } Bürstenarbeit, nichts davon markiert
answer-speed-no-brush = In { $time } beobachteter Zeit drehte keine Bürste
answer-speed-yes = Ja: { $share } von { $time } Bürstenzeit im Tempoband
answer-speed-mostly = Meist: { $share } von { $time } Bürstenzeit im Tempoband
answer-speed-no = Nein: { $share } von { $time } Bürstenzeit im Tempoband
answer-speed-detail = Zu langsam { $slow }, zu schnell { $fast }.
answer-speed-other = Weitere { $time } waren nicht markiert, also ohne Band.
answer-standing-none = Nicht gesehen in { $time } beobachteter Zeit
answer-standing = Ja: { $times }, zusammen { $total }
answer-standing-worst =
    Schlimmster Fall: { $time } in { $section } um { $at }, wie { $passes } Gänge auf einer
    Stelle.
answer-standing-worst-cut =
    Schlimmster Fall: mindestens { $time } in { $section } um { $at }, wie { $passes } Gänge auf
    einer Stelle.
answer-area = { $area } { $unit } überstrichen in { $time } Bürstenzeit; Überlappung zählt doppelt
answer-area-no-passes = Gänge nicht bekannt: kein Abschnitt markiert.
answer-area-passes = Gänge: { $parts }.
answer-motor-unknown = Nicht bekannt: kein Strom eines Bürstenmotors aufgezeichnet
answer-motor-none = Keines von beiden gesehen, während Bürsten drehten
answer-motor-largest = Größter Strom { $current } A.
answer-motor-stalled = blockiert { $times }
answer-motor-no-stall = nicht blockiert
answer-motor-over = zu viel Druck { $times }, zusammen { $total }
answer-motor-not-over = nie zu viel Druck
answer-motor-peak = Spitze { $current } A an Motor { $motor } in { $section } um { $at }.
answer-steps-open = { $sections } nicht fertig
answer-steps-done = { $sections } mit fertigem Schritt
answer-steps-daily =
    tägliche Pflege in { $count ->
        [one] { $count } Abschnitt
       *[other] { $count } Abschnitten
    }
answer-steps-unknown = Nicht bekannt: kein Schritt markiert
answer-blade-unknown = Nicht bekannt
answer-blade-measure = Die Segmente messen und die Länge im Schichtbuch vermerken.
answer-blade-order-now = jetzt neue bestellen
answer-blade-order-by = bestellen bis { $date }
answer-blade-order-unknown = Bestelltag nicht bekannt
answer-blade = Etwa { $length } (Schätzung); { $order }
answer-blade-likely = Wahrscheinlich { $low } bis { $high } (80-%-Bereich).
answer-blade-reached = Noch { $length } etwa am { $best } (wahrscheinlich { $early } bis { $late }).
answer-data = { $observed } beobachtet von { $recorded } aufgezeichnet ({ $share })
answer-data-unknown = Nicht bekannt: aufgezeichnete Zeit nicht bekannt
answer-data-no-problem = kein Problem gefunden
answer-data-no-other-problem = kein anderes Problem gefunden
answer-data-lost = { $problems }, { $count } mit Datenverlust
answer-data-clock = Uhr richtig auf { $time }

## What to do

actions-morning = Heute Morgen zu tun
actions-tonight = Heute Nacht zu tun
actions-nothing = Es fand sich nichts, was über die üblichen Prüfungen hinaus zu tun ist.
actions-more = Und { $count } mehr: siehe nächste Seiten.
actions-more-sections = Und { $count } mehr: siehe Abschnitte.
actions-forbidden =
    Bürsten drehten um { $at } in { $section }, das nie poliert werden darf: Boden ansehen.
actions-forbidden-more =
    Bürsten drehten auf verbotenem Boden, noch { $count ->
        [one] { $count } Mal
       *[other] { $count } Mal
    }: siehe Vorfälle.
actions-spot = In { $section } nachsehen ({ $at }, Stand { $time }): { $remedy }.
actions-spot-cut = In { $section } nachsehen ({ $at }, Stand mindestens { $time }): { $remedy }.
actions-spots-more =
    { $count ->
        [one] { $count } weitere Stelle
       *[other] { $count } weitere Stellen
    } ansehen: siehe Vorfälle.
actions-order-short = Jetzt neue Segmente bestellen (Schätzung: zu kurz).
actions-order-now = Jetzt neue Segmente bestellen, damit sie rechtzeitig da sind (Schätzung).
actions-order-by = Neue Segmente bestellen bis { $date } (Schätzung).
actions-measure = Segmente messen: keine Messung im Schichtbuch.
actions-measure-due = Segmente messen: zuletzt gemessen am { $date }.
actions-plan =
    Plan: { $count ->
        [one] { $count } Arbeit
       *[other] { $count } Arbeiten
    }, { $takes }; siehe Heute Nacht.
actions-grind = { $section }: { $task }.
actions-not-planned = { $section }: { $task } (nicht im Plan für heute Nacht).
actions-mark = Abschnitt und Schritt markieren: { $time } waren nicht markiert.
actions-lost = Messwerte gingen verloren ({ $problems }): siehe Daten.

## Events

column-number = Nr.
column-at = Um
column-lasted = Dauer
column-what = Was
column-where = Wo
column-what-to-do = Was tun
note-cut-short = die Messwerte enden dort: es kann länger gedauert haben.
events-how-bad = Wie schlimm
events-none = Keine in { $time } beobachteter Zeit.
events-unknown = Nicht bekannt: nichts beobachtet.
events-stood = Stand, Bürste drehte
events-energy-unknown = Arbeit nicht bekannt
events-slight = leicht: { $passes } Gänge, { $energy }
events-inspect = ansehen: { $passes } Gänge, { $energy }
events-severe = schwer: { $passes } Gänge, { $energy }
events-glance = kurz auf die Stelle sehen
events-look = auf einen Ring achten
events-expect = mit Ring oder Mulde rechnen
events-note =
    Gänge: auf dieser Stelle so viel geschliffen wie mit so vielen Gängen in der Mitte des
    Bandes. Leicht: weniger als ein Viertel der Gänge eines ganzen Schritts; ansehen: bis zu
    einem ganzen Schritt; schwer: mehr. Diese Grenzen sind eigene Wahl.

## Load of the brush motors

load-stall = Motor blockiert
load-near-stall = Motor fast blockiert
load-trip = Motor ohne Strom
load-over-pressure = Zu viel Druck
load-heavy = Hohe Last
load-light = Wenig Kontakt
load-uneven = Ungleiche Last
load-dry = Verdacht auf Trockenlauf
load-hot = Motor heiß
load-of-normal = { $ratio } x üblich
load-mean = Mittel { $current } A
load-bad = Motor { $motor }, { $load }
load-bad-uneven = Motor { $motor } zieht am meisten
load-bad-uneven-by = Motor { $motor } zieht am meisten: { $ratio } zu 1
load-bad-hot = Motor { $motor }, { $share } seiner Grenze
load-bad-trip = Motor { $motor }, davor { $current } A
load-bad-peak = Motor { $motor }, Spitze { $current } A
load-bad-sudden = Motor { $motor }, Spitze { $current } A, plötzlich
load-bad-slow = Motor { $motor }, Spitze { $current } A, langsam gestiegen
advice-stall = suchen, was die Bürste festhielt
advice-near-stall-drag = raue oder trockene Stelle suchen
advice-near-stall = dort Fuge, Bolzen oder Kante suchen
advice-trip = Ursache finden, bevor die Sicherung eingeschaltet wird
advice-pressure = Anpressdruck prüfen
advice-light-pressure = Anpressdruck auf voll stellen
advice-light-head = prüfen, ob Bürste sitzt und Kopf unten ist
advice-light-all = prüfen, ob der Kopf anpresst
advice-light = diese Bürste prüfen: abgenutzt, verglast, richtig im Sitz
advice-uneven = Deck auf Waage und Segmente prüfen
advice-dry = prüfen, ob Wasser die Bürsten erreicht
advice-hot = abkühlen lassen; auf Schwergang prüfen
motors-unknown = Nicht bekannt: kein Strom eines Bürstenmotors aufgezeichnet.
motors-motor = Motor
motors-mean = Mittel
motors-normal = Üblich
motors-at-work = Bei Arbeit
motors-median = Median
motors-p95 = 95 % unter
motors-largest = Größter
motors-times = Mal
motors-stalled = Blockiert
motors-heat = Wärme
motors-note-heat =
    Wärme: höchster Anteil dessen, was der Motor auf Dauer verträgt, nur nach seinem Strom
    (thermisches Abbild, Zeitkonstante { $time }); über 100 % ist zu heiß.
motors-note-dry = Ohne Wasser zogen die Motoren { $share } % mehr als mit Wasser üblich ({ $time }).
motors-note-few = Ströme wurden in weniger als vier Fünfteln der Bürstenzeit gelesen.
motors-notice =
    Hoher Strom verschleißt Motoren und Segmente: nach der Betriebsanleitung der Maschine
    prüfen.
motors-warning-trip =
    Eine ausgelöste Sicherung hat eine Ursache. Batterie abklemmen, bevor Sie Bürsten oder
    Leitungen berühren; nur nach der Betriebsanleitung der Maschine wieder einschalten.
motors-note-limits =
    Während Bürsten drehen. Zu viel Druck: über { $pressure } A für länger als { $pressing
    }. Blockiert: { $stall } A oder mehr für länger als { $stalling }, die Bürste dreht kaum,
    wo ihre Drehung gemessen wird.
count-past-nights = { $count ->
        [one] { $count } früheren Nacht
       *[other] { $count } früheren Nächten
    }
motors-normal-place = gelernt aus { $nights } mit diesem Werkzeug am selben Ort
motors-normal-phase = gelernt aus { $nights } mit diesem Werkzeug bei gleicher Arbeit
motors-normal-machine = gelernt aus { $nights } mit Arbeit aller Art
motors-normal-file = wie die Maschinendatei sagt
motors-normal-tonight =
    der Median dieser Schicht selbst, da frühere Nächte zu wenige sind; was die ganze Nacht
    falsch war, zeigt sich nicht
motors-note-normal =
    Bei Arbeit: Mittel in Fahrt bei vollem Druck mit Wasser. Üblich bei gleicher Arbeit: { $from
    }.
motors-note-normal-error =
    Bei Arbeit: Mittel in Fahrt bei vollem Druck mit Wasser. Üblich bei gleicher Arbeit: { $from
    }, Standardfehler { $error } A.
did-trip = Motor { $motor } verlor den Strom, in { $section } um { $at }
did-stall = Motor { $motor } blockierte, in { $section } um { $at }
did-hot = Motor { $motor } lief heiß, in { $section } um { $at }
did-over-pressure = Motor { $motor } lief mit zu viel Druck, in { $section } um { $at }
did-light = Motor { $motor } hatte wenig Kontakt, in { $section } um { $at }
did-uneven = Motor { $motor } zog mehr als der andere, in { $section } um { $at }
did-dry = Motor { $motor } lief vielleicht trocken, in { $section } um { $at }
did-heavy = Motor { $motor } lief schwer, in { $section } um { $at }
did-near-stall = Motor { $motor } blockierte fast, in { $section } um { $at }
did-more =
    und noch { $count ->
        [one] { $count } Mal
       *[other] { $count } Mal
    }
## Programm

programme-heading = Programm
programme-title = Programm, { $site }, { $date }
programme-subject = Aufarbeitung des Bodens: { $site }
programme-as-of = Stand nach der Nacht vom { $date }
programme-summary = Wie weit der Boden ist
programme-restored = Aufgearbeitet
programme-due = Aufzufrischen
programme-in-work = In Arbeit
programme-waiting = Wartet
programme-never = Nie zu polieren
programme-of-all = { $area } von { $all } ({ $share })
programme-missing = Noch zu schleifen
programme-missing-value = { $time } im Band
programme-rate = In einer Nacht aufgearbeitet
programme-rate-value =
    { $mean } im Mittel; das Mittel liegt mit 80 % Sicherheit zwischen { $low } und { $high }, nach
    { $nights ->
        [one] { $nights } Nacht
       *[other] { $nights } Nächten
    } seit { $since }
programme-rate-first = { $mean } in der ersten Nacht
programme-finish = Alles aufgearbeitet
programme-finish-done = Ja.
programme-finish-day = { $best }, wenn es so weitergeht
programme-finish-range = Um den { $best }; in 8 von 10 Fällen zwischen { $early } und { $late }
programme-finish-open = Um den { $best }; in 1 von 10 Fällen vor { $early }, in 1 von 10 Fällen nach mehr als zwei Jahren
programme-finish-nothing = Es gibt nichts aufzuarbeiten: kein Boden, der poliert werden darf, oder keine Schritte in der Objektdatei.
programme-finish-not-begun = Nicht bekannt: noch ist keine Minute der Aufarbeitung aufgezeichnet.
programme-finish-few =
    Nicht bekannt: bisher { $nights ->
        [one] { $nights } Nacht
       *[other] { $nights } Nächte
    }, davon { $worked } mit Arbeit, die zählte: zu wenige.
programme-finish-far = In diesem Tempo nicht binnen zwei Jahren.
programme-note-model =
    Das Datum nimmt an, dass die kommenden Nächte wie die bisherigen sind, auch die ohne Arbeit; von
    anderen Leuten oder Maschinen und von täglichen Fahrten, die mit dem fertigen Boden mehr werden,
    weiß es nichts.
programme-note-days-off = Tage ohne Arbeit, nicht mitgezählt: { $days }.
programme-note-unseen =
    { $nights ->
        [one] { $nights } Nacht
       *[other] { $nights } Nächte
    } ohne jede Aufzeichnung zählen als Nächte ohne Arbeit.
programme-note-not-marked =
    { $time } Bürstenzeit gehören zu keinem Abschnitt, weil ihn niemand markiert hat: sie zählen hier
    nicht.
programme-tonight = Heute Nacht, { $date }: Vorschlag
programme-plan-empty = Nichts ist fällig, oder nichts passt hinein.
programme-plan-note =
    Ein Vorschlag nach dem, was fällig ist und was hineinpasst; wer den Boden kennt, weiß mehr. Die
    Zeiten zählen ab Schichtbeginn, Werkzeugwechsel eingerechnet.
programme-plan-change = Körnung { $grit } montieren.
programme-plan-item = { $at } { $section }: { $work }; { $reason }.
programme-plan-runs = { $at } { $work } in { $count } Abschnitten: { $sections }; { $reason }.
programme-plan-band = { $work }, { $time } im Band
programme-plan-part = { $work }, davon { $time } im Band
programme-why-missed = versäumt seit { $since }
programme-why-not-known = fällig seit { $since }, seither keine Aufzeichnung
programme-why-due = fällig
programme-why-go-on = weitermachen
programme-why-next = nächster Schritt
programme-why-refresh = auffrischen, fällig seit { $since }
programme-why-begin = als Nächstes an der Reihe
programme-why-book = im Schichtbuch geplant
programme-plan-takes = Dauert { $takes } von { $hours }, Bürsten drehen { $brush }.
programme-battery-given = Eine Ladung gibt { $time } Bürstenzeit (Objektdatei).
programme-battery-learned =
    Eine Ladung gab höchstens { $time } Bürstenzeit, in { $nights } Nächten ohne Laden.
programme-battery-unknown =
    Was eine Ladung gibt, ist nicht bekannt: nur die Stunden begrenzen den Plan (battery_minutes in der
    Objektdatei).
programme-pace-assumed =
    Zu wenig ist aufgezeichnet, um zu wissen, wie lange Arbeit dauert: alle Bürstenzeit zählt als im
    Band.
programme-column-group = Gruppe
programme-column-sections = Abschnitte
programme-column-never = Nie
programme-column-due = Auffrischen
programme-column-missed = Versäumt
programme-column-section = Abschnitt
programme-column-state = Stand
programme-column-in-band = Im Band
programme-column-needed = Nötig
programme-column-passes = Überfahrten
programme-column-speed = Tempo
programme-column-nights = Nächte
programme-column-what = Was
programme-h-mm = h:mm
programme-groups-note = Abschnitte. Auffrischen: fertige, bei denen es fällig ist. Versäumt: fertige, deren tägliche Fahrt ausfiel.
programme-all-sections = Alle Abschnitte
programme-no-group = Ohne Gruppe
programme-needing = Abschnitte, die etwas brauchen
programme-needing-none = Keine: Begonnenes ist fertig, keine tägliche Fahrt fiel aus.
programme-table-note =
    Im Band, nötig, Überfahrten, Tempo und Nächte gelten für den offenen Schritt, alle Nächte und
    Maschinen zusammen; bei einem fertigen Abschnitt für seinen letzten.
programme-crew = Wer: { $list }.
programme-state-never = Nie polieren
programme-state-in-work = In Arbeit, Schritt { $step }
programme-state-restored = Fertig { $date }
programme-state-due = Aufzufrischen seit { $since }
programme-never-run = nie
programme-what-missing = { $time } fehlen.
programme-what-missed =
    Tägliche Fahrt versäumt, seither { $nights ->
        [one] { $nights } Nacht
       *[other] { $nights } Nächte
    } mit Arbeit; zuletzt: { $last }.
programme-what-not-known = Tägliche Fahrt nicht bekannt: keine Aufzeichnung, seit sie fällig war; zuletzt: { $last }.
programme-what-tonight = Tägliche Fahrt heute Nacht fällig; zuletzt: { $last }.
programme-what-later = Nächste tägliche Fahrt: { $on }.
programme-what-by-hand = Nach dem Schichtbuch: Schritt { $steps }.
programme-odd-forbidden = Hier drehten Bürsten { $time }: Boden prüfen.
programme-odd-early = Schritt { $step } kam zu früh: { $time } zählen nicht.
programme-odd-again = Schritt { $step } wurde nach dem letzten noch einmal gearbeitet, { $time }: der Boden kann matt sein.
programme-odd-assumed = { $share } der Minuten stehen unter angenommenen Marken.
programme-daily-runs =
    Tägliche Fahrten in Abschnitten, die nach dieser Aufzeichnung nicht fertig sind: { $sections }.
    Waren sie es schon vor ihrem Beginn, im Schichtbuch vermerken: done, step { $step }.
programme-odd-no-step = { $time } in einem Schritt, den die Objektdatei nicht hat.

## Coverage

coverage-heading = Abdeckung nach dem Weg
coverage-floor = Boden
coverage-give-or-take = Plus/ minus
coverage-of-section = Vom Abschnitt
coverage-mean-times = Mittel Mal
coverage-missed = Ausgelassen
coverage-note =
    Boden: mindestens einmal berührt; Überlappung zählt einmal. Plus/minus: 80-%-Bereich aus der
    Drift des Weges, der aus Tempo und Drehrate gerechnet ist; Bahnen gelten als parallel oder
    rechtwinklig, und Fahrten enden an denselben zwei Seiten. Ausgelassen: zwischen Bahnen,
    breiter als { $strip } und nicht breiter als die Bürstenspur. Besuche lassen sich nicht
    übereinanderlegen.
coverage-note-drift = Wo der Weg zu weit abdriftete, wird kein Boden genannt.
coverage-note-over =
    Über 100 % eines Abschnitts: Wenden am Ende der Bahnen liegen außerhalb, die Arbeit ging
    über die Markierung hinaus, oder der Weg driftete.
coverage-note-parts =
    Während eines Besuchs fielen Messwerte aus: Seine Teile haben je eine Zeile und können
    übereinanderliegen.
coverage-note-left-out =
    { $count ->
        [one] { $count } Besuch
       *[other] { $count } Besuche
    } mit weniger Arbeit nicht gezeigt.
coverage-none-missed = kein Streifen ausgelassen
coverage-strips-missed = { $area } { $unit } ausgelassen
coverage-caption =
    Wie oft gebürstet. { $area } { $unit } berührt, plus/minus { $bound }; der Weg kann um {
    $drift } falsch liegen; { $missed }.
coverage-or-more = { $count } oder mehr
coverage-sign-missed = ausgelassen

## Driving

driving-heading = Tempo
driving-p5 = 5 % der Zeit unter
driving-median = Halbe Zeit unter
driving-p95 = 95 % der Zeit unter
driving-too-fast =
    Zu schnell { $times }; wieder im Band meist nach { $median }, höchstens { $longest }{ $open
    }.
driving-too-slow =
    Zu langsam { $times }; wieder im Band meist nach { $median }, höchstens { $longest }{ $open
    }; Wenden und Halte sind dabei.
driving-ended-otherwise = { $count ->
        [one] { $count } weiteres Mal endete anders
       *[other] { $count } weitere Male endeten anders
    }
driving-turned =
    Fahrtrichtung { $count ->
        [one] { $count } Mal
       *[other] { $count } Mal
    } gewechselt, während Bürsten drehten.
driving-slip-spin = { $at } in { $section } (Tempo des Rades sprang)
driving-slip-sideways = { $at } in { $section } (zu schnell für die Kurve)
driving-slip-dragged = { $at } in { $section } (drehte, während das Rad stand)
driving-and-more = und { $count } mehr
driving-slips =
    Ein Rad ist vielleicht { $times } gerutscht: { $named }. Weg und Fläche zählen, was das Rad
    drehte: Reifen und Boden dort ansehen.

## Care of machine and floor

care-heading = Pflege von Maschine und Boden
care-warning-slurry =
    Schlamm kann kristallinen Quarz enthalten: spülen und nass aufnehmen, nicht trocken kehren;
    nassen Boden absperren. Betriebsanleitung der Maschine und örtliche Vorschriften
    entscheiden.
care-warning-charge =
    Eine ladende Batterie kann explosives Gas abgeben: Raum lüften, keine Flammen, keine Funken.
    Anleitung der Batterie und örtliche Vorschriften entscheiden.
care-vacuum = Absaugung aus, Bürste drehte
care-water = Zu wenig Wasser
care-pressure = Nicht voller Druck
care-head = Kopf oben, Bürste drehte
care-forbidden = Boden nie zu polieren
care-do-vacuum = Auf Schleier prüfen und spülen
care-do-water = Boden und Segmente auf Hitzespuren prüfen
care-do-pressure = Oberfläche prüfen; vollen Druck einstellen
care-do-head = Kopf absenken vor dem Einschalten
care-do-forbidden = Boden ansehen
care-and-more = { $place } und { $count } mehr
note-longest = Die { $shown } längsten stehen hier; { $hidden } mehr, zusammen { $rest }.
care-name-vacuum = Absaugung
care-name-water = Wasser
care-name-pressure = Druckeinstellung
care-name-head = Kopfstellung
care-too-little =
    Zu wenig gelesen für ein Urteil (weniger als { $least } der Zeit, in der Bürsten drehten): {
    $parts }.
battery-start = am Anfang { $volts }
battery-end = am Ende { $volts }
battery-lowest = am niedrigsten { $volts }
battery-rest = Batterie in Ruhe: { $parts }.
battery-rest-drop = Batterie in Ruhe: { $parts } (ihr Abfall von { $drop } mV je A dazugerechnet).
battery-load = Batterie unter Last: am niedrigsten { $volts } um { $at }.
battery-load-steady =
    Batterie unter Last: am niedrigsten { $volts } um { $at }; ihr Strom änderte sich kaum,
    daher ist der Ruhewert nicht berechnet.
battery-load-alone =
    Batterie unter Last: am niedrigsten { $volts } um { $at }; ihr Strom ist nicht
    aufgezeichnet, daher ist der Ruhewert bei Arbeit nicht bekannt.
battery-deep = Sie wurde zu tief entladen (unter { $volts } in Ruhe), was ihr Leben verkürzt.
battery-low = Sie war schwach (unter { $volts }).
battery-not-full = Sie war bei Schichtbeginn nicht voll (voll ab { $volts } in Ruhe).
count-charges = { $count ->
        [one] { $count } Ladung
       *[other] { $count } Ladungen
    }
battery-charge = Bürstenzeit von voll bis schwach bei diesem Gebrauch: { $time }.
battery-charge-usual =
    Bürstenzeit von voll bis schwach bei diesem Gebrauch: { $time }; üblich { $usual } ({
    $charges }).
care-task-slurry = { $section } ({ $at }): Schlamm blieb { $time }{ $more }: prüfen, spülen.
care-task-water = { $section } ({ $at }): wenig Wasser { $time }{ $more }: auf Hitzespuren prüfen.
care-task-more = und in { $count } mehr
battery-task-deep = Batterie sofort laden: zu tief entladen.
battery-task-deep-volts = Batterie sofort laden: zu tief entladen, { $volts }.
battery-task-charger = Batterie schwach, am Anfang nicht voll: Lader prüfen.
battery-task-charger-volts = Batterie schwach, { $volts }, am Anfang nicht voll: Lader prüfen.
battery-task-low = Batterie voll laden: schwach.
battery-task-low-volts = Batterie voll laden: schwach, { $volts }.
battery-task-not-full = Batterie am Anfang nicht voll: Lader prüfen.
battery-task-weak = Eine Ladung gibt weniger als üblich: Batterie prüfen lassen.

## Data

data-nothing-lost = nichts verloren
data-recorded = Aufgezeichnet
data-recorded-of = { $time } ({ $share } der { $shift } der Schicht)
data-observed = Tempo und Bürste beobachtet
data-observed-of = { $time } ({ $share } des Aufgezeichneten)
data-power-ons = Einschaltungen (Schlüssel)
data-readings = Genutzte Messwerte
data-frames = Telegramme von der Brücke
data-frames-received = { $frames } empfangen; { $bad }
data-clock = Uhr
data-clock-unknown = nicht bekannt: keine Aufzeichnung hat eine Uhrzeit
data-clock-right = richtig auf { $time }
data-meter = Bürstenstundenzähler der Maschine
data-meter-and-brush = { $meter } (Bürstenzeit hier: { $time })
data-no-problem = Kein Problem mit Aufzeichnungen, Markierungen oder Einstellungen gefunden.
data-gaps = Lücken der Aufzeichnung
data-note-gaps =
    Dann keine Messwerte von Tempo oder Bürste; über diese Zeiten wird nichts angenommen.
count-lost = { $count } verloren
count-damaged = { $count } beschädigt
count-not-understood = { $count } nicht verstanden
count-doubled = { $count } doppelt oder spät
count-restarts = { $count ->
        [one] { $count } Neustart der Brücke
       *[other] { $count } Neustarts der Brücke
    }
count-disconnects = { $count ->
        [one] { $count } Abbruch des Anschlusses
       *[other] { $count } Abbrüche des Anschlusses
    }
sensor-speed = Temposensor
sensor-turn-rate = Drehratensensor
sensor-battery = Batteriespannung
sensor-current = Stromsensor von Motor { $motor }
sensor-rotation = Drehsensor von Bürste { $motor }
sensor-degrees = { $number } Grad/s
sensor-turns = { $number } U/min
data-task-sensor = Prüfen, mit Kabel: { $sensor }; siehe Daten.
data-task-offset = Stromsensor von Motor { $motor } prüfen: Bei Bürsten aus zeigt er { $current } A.
data-stuck =
    Fest bei { $value } für { $time } ({ $at }): { $sensor }. Vielleicht hängt der Wert; was
    dann darauf beruht, ist nicht verlässlich.
data-impossible =
    Für diese Maschine unmöglich, { $time } lang ({ $at }), höchstens { $value }: { $sensor }.
    Gilt als nicht beobachtet.
count-stays = { $count ->
        [one] { $count } Stillstand
       *[other] { $count } Stillstände
    }
data-offset =
    Der Stromsensor von Motor { $motor } zeigt { $current } A bei Bürsten aus ({ $stays }); das
    von seinen Werten abziehen.
data-offset-drifting =
    Der Stromsensor von Motor { $motor } zeigt { $current } A bei Bürsten aus, mit Drift von {
    $drift } A oder mehr ({ $stays }); das von seinen Werten abziehen.
data-offset-high = Seine Last, Reibarbeit und Abnutzung sind etwa { $share } zu hoch.
data-offset-low = Seine Last, Reibarbeit und Abnutzung sind etwa { $share } zu niedrig.
data-lost = verloren
data-none-lost = nichts verloren
data-problem = Problem
data-method =
    Berechnet aus den eigenen Messwerten der Maschine zwischen { $date }, { $begin } und { $end
    }. Bürstenzeit ist beobachtete Zeit mit drehender Bürste; unter dem Band zählt auch Stehen.
    { $speed } Abschnitt und Schritt sind die der letzten Markierung.
## Übersicht einer Woche oder eines Monats

range-heading = Übersicht, { $from } bis { $to }
range-data =
    { $known } von { $all } Maschinennächten haben Daten. Die übrigen sind in den Bildern schräge
    Linien und in keiner Summe: Von ihnen ist nichts bekannt.
range-between =
    Eine Nacht geht vom Beginn einer Schicht bis zu dem der nächsten; Arbeit zwischen Schichten
    zählt hier mit, auf dem Blatt einer Schicht nicht.
range-sums = Summen
range-machine = Maschine
range-together = Zusammen
range-weeks = Woche für Woche
range-week = Woche, alle Maschinen
range-nights = Nächte mit Daten
range-brush = Bürste ein
range-in-band = Zeit im Band
range-swept = Gefegte Fläche
range-events = Drehte im Stand
range-standing = Zeit im Stand gedreht
range-forbidden = Auf verbotenem Boden
range-nightly = Nacht für Nacht, { $machine }
range-length = Kürzestes Segment gemessen
range-left = { $machine }: am Ende noch { $best } Schleifbelag, { $low } bis { $high } bei 80 %.
range-left-not-known = { $machine }: Wie viel Schleifbelag übrig ist, ist nicht bekannt. Messen und ins Schichtbuch schreiben.
range-floor = Boden
range-restored = Restaurierter Boden: vorher { $before } { $unit }, am Ende { $after } { $unit } von { $all } { $unit }.
range-forbidden-work = Bürsten drehten { $time } auf Böden, die nie poliert werden: Diese Böden ansehen.
range-none-finished = Kein Kornschritt wurde fertig.
range-finished = Fertige Schritte
range-night = Nacht
range-section = Abschnitt
range-step = Schritt
range-by-hand = nach dem Schichtbuch
range-segments = Segmente
range-people = Nach Person
range-person = Person
range-people-note =
    Nächte der Maschinen, für die das Schichtbuch die Person nennt, für jede ganz. Sie sagen, wie
    Maschine, Boden und Plan in der Nacht waren, nicht nur, wie jemand gearbeitet hat.

## Pages for technicians
heading-trace = Davor und danach
trace-time = Zeit in s ab dem Beginn um { $at }.
trace-legend =
    Grau: der Vorfall. Schräge Linien: keine Messwerte. Gestrichelt: geltende Grenzen. Jeder Punkt
    hat den kleinsten und den größten Messwert. Melder: niedriger Balken, solange seine Bedingung
    gilt, voller Balken im Vorfall.
text-trace = #: der Vorfall. /: keine Messwerte. Blöcke: größter Messwert.
trace-current = Motor { $motor }, A
trace-battery = Batterie, V
trace-command = Bürstenschalter
trace-head-down = Kopf unten
trace-over-pressure = zu viel Druck { $current } A
trace-stall = blockiert { $current } A
trace-rotation = Bürste { $motor }, 1/min
trace-heat = Wärme { $motor }, %
trace-pressure = Druck, %
trace-water = Wasser, %
trace-vacuum = Absaugung
trace-detector = Melder
trace-standing = steht unter { $speed } { $unit }
trace-heat-limit = Grenze 100 %
trace-heat-warning = Warnung { $percent } %
trace-battery-empty = leer unter Last { $voltage } V
technician-cause = Wahrscheinliche Ursache
technician-checks = In dieser Reihenfolge prüfen, nach der Anleitung der Maschine:
evidence-lasted = { $time } s lang
evidence-rise = vom Üblichen bis zur Grenze in { $time } s
evidence-switch-on = Bürstenschalter an
evidence-switch-off = Bürstenschalter aus
evidence-head-down = Kopf unten
evidence-head-up = Kopf oben
column-cause = Ursache
column-likely = Wahrscheinlich?
column-for = Spricht dafür
column-against = Spricht dagegen
likely-yes = wahrscheinlich
likely-maybe = möglich
likely-no = unwahrscheinlich
technician-title = Vorfall { $id }
event-heading = Vorfall in der Nacht vom { $date }
technician-what = { $what } ab { $at } für { $time } s: { $section }.
technician-note = Nach Regeln der üblichen Praxis: sie ordnen, was zuerst anzusehen ist, und beweisen nichts.
heading-safety = Bevor Hände an den Bürstenkopf kommen
safety-key = 1. Auf ebenem Boden anhalten; Bürsten aus; Schlüssel aus und abgezogen.
safety-battery = 2. Batterie abklemmen, wie die Anleitung der Maschine es sagt.
safety-wait = 3. Warten, bis alle Bürsten stehen; Motoren können heiß sein.
safety-gloves = 4. Handschuhe und Augenschutz: Segmente und gewickelter Draht schneiden.
safety-slurry = 5. Schlamm nass halten und von Haut und Augen fern.
safety-manual = Anleitung der Maschine, örtliche Vorschriften und Fachleute entscheiden; Arbeit an der Elektrik ist für Befugte.
kind-vacuum = Absaugung aus
kind-water = Zu wenig Wasser
kind-pressure = Druck nicht voll
kind-head = Bürsten drehten, Kopf oben
kind-forbidden = Verbotener Boden
kind-battery-low = Batterie schwach
kind-battery-deep = Batterie zu tief entladen
kind-slip = Rad rutschte
kind-sensor = Sensor zweifelhaft
kind-gap = Keine Messwerte
cause-standing = Die Bürste blieb an, während die Maschine stand.
cause-obstacle = Etwas hielt die Bürste plötzlich fest: Fuge, Bolzen, Kante oder Kabel.
cause-wound = Reibung an einer Bürste: Schnur aufgewickelt, Segment verklemmt, ein Lager.
cause-pressed = Der Kopf drückt zu stark: Einstellung oder verschlissener Kopf.
cause-floor = Der Boden dort: rau, klebrig oder uneben.
cause-motor = Dieser Motor selbst: Kohlebürsten, Lager oder Getriebe.
cause-held-start = Gegen eine festgehaltene Bürste gestartet.
cause-low-battery = Die Batterie war zu schwach für die Bürste.
cause-dry = Der Boden war trocken: kein Wasser an den Bürsten.
cause-new-segments = Neue Segmente oder falsche Körnung.
cause-uneven-deck = Der Kopf steht nicht eben.
cause-trip = Eine Sicherung oder die Steuerung nahm dem Motor unter Last den Strom.
cause-wiring = Ein Stecker oder Kabel verlor den Kontakt.
cause-hot = Der Motor nahm länger mehr Strom auf, als er abkühlen kann.
cause-low-setting = Der Anpressdruck war niedrig eingestellt.
cause-worn = Segmente verschlissen oder verloren, oder die Bürste sitzt nicht.
cause-blocked = Die Maschine wurde von etwas angehalten.
cause-speed-sensor = Der Temposensor ist tot: die Maschine fuhr.
cause-brush-switch = Bürstenschalter oder Relais klemmte.
cause-head-up = Der Kopf war in Wahrheit oben.
cause-not-full = Sie war zu Beginn nicht voll geladen.
cause-battery-weak = Die Batterie ist schwach geworden, oder ein Stecker ist lose.
cause-heavy-work = Die Arbeit brauchte mehr als üblich.
cause-crossing = Die Maschine überquerte ihn mit laufenden Bürsten.
cause-wrong-mark = Die Marke war falsch: die Arbeit war anderswo.
cause-switched = Es wurde während der Arbeit aus- oder niedriger gestellt.
cause-forgotten = Es wurde zu Beginn der Arbeit vergessen.
cause-switch-signal = Das Signal des Schalters ist falsch.
cause-slip = Ein Rad rutschte auf nassem Boden oder Schlamm.
cause-sensor = Der Sensor oder sein Kabel.
cause-gap = Die Brücke, ihr Kabel oder ihr Strom.
evidence-moving = { $speed } { $unit } davor
evidence-moving-after = { $speed } { $unit } danach
evidence-other = der andere Motor mit { $ratio } x seinem Strom davor
evidence-after = Motor { $motor } danach mit { $ratio } x seinem Strom davor
evidence-places = { $here } solche Vorfälle in diesem Bereich, { $elsewhere } anderswo in dieser Nacht
evidence-baseline = Motor { $motor } diese Nacht mit { $ratio } x seinem Üblichen ({ $nights } Nächte)
evidence-voltage = { $voltage } V davor, leer unter { $limit } V
evidence-started = { $time } s davor eingeschaltet
evidence-ran = davor immer an
evidence-pressure = Druck { $before } % davor, { $now } % darin
evidence-water = Wasser bei { $percent } %
evidence-fitted = Segmente seit { $nights } Nächten montiert
evidence-before = { $current } A davor
evidence-peak-ratio = höchstens { $ratio } x der Strom davor
evidence-stopped = vom Arbeitstempo zum Stand in { $time } s
evidence-doubt = was der Temposensor zu dieser Zeit sagt
evidence-head-unknown = die Stellung des Kopfs ist nicht aufgezeichnet
evidence-not-full = { $voltage } V in Ruhe zu Beginn
evidence-weak = viel weniger Bürstenzeit je Ladung als üblich
evidence-not-weak = Bürstenzeit je Ladung wie üblich
evidence-changed = die Einstellung änderte sich in den 30 s davor
evidence-unchanged = die Einstellung war 30 s davor gleich
inspect-marks = Die Marken dieser Zeit mit dem Ort der Maschine vergleichen.
inspect-water = Sehen, dass Wasser beide Bürsten erreicht: Tank, Filter, Ventil, Schlauch.
inspect-switches = Jeden Schalter betätigen: Anzeige und Aufzeichnung müssen dasselbe sagen.
inspect-battery = Batterie in Ruhe messen; Ladegerät, Stecker und Wasser nach ihrer Anleitung ansehen.
inspect-link = Lichter, Stecker und Strom der Brücke ansehen.
inspect-speed-sensor = Die Maschine einen Meter rollen, Bürsten aus: das Tempo muss folgen.
inspect-why-it-stood = Den Fahrer fragen, warum die Maschine mit drehenden Bürsten stand.
inspect-spot-in-low-light = Die Stelle bei flachem Licht von der Seite auf Ring oder Mulde ansehen.
inspect-brush-switch = Sehen, dass die Bürsten mit der Maschine anhalten, wie die Anleitung es sagt.
inspect-floor-there = Den Boden dort auf Fuge, Bolzen, Kante oder Kabel ansehen.
inspect-brush-by-hand = Die Bürste von Hand drehen: sie läuft frei, nichts ist aufgewickelt.
inspect-motor = Motor, Riemen oder Getriebe ansehen lassen, wenn sie nicht frei läuft.
inspect-down-pressure = Anpressdruck mit Anleitung und Plan vergleichen.
inspect-deck-level = Sehen, dass der Kopf eben steht und sich frei bewegt.
inspect-segments = Auf lose, ungleiche oder glatte Segmente achten.
inspect-before-reset = Die Ursache finden, bevor eine Sicherung wieder eingeschaltet wird.
inspect-wiring = Auf gescheuerte Kabel und lose oder dunkle Stecker achten.
inspect-air-and-heat = Den Motor abkühlen lassen und seinen Luftweg frei machen.
cause-bearing = Motor oder Getriebe läuft innen schwer: ein Lager, oder etwas um die Welle.
cause-wrong-tool = Ein anderes Werkzeug oder Korn ist montiert als das dieses Schritts.
evidence-baseline-file = Motor { $motor } diese Nacht mit { $ratio } x dem der Maschinendatei
evidence-run-down = in der Luft läuft Bürste { $motor } in { $time } s auf die Hälfte aus, sonst in { $usual } s ({ $nights } Nächte)
evidence-no-load = in der Luft zieht Motor { $motor } { $current } A, sonst { $usual } A ({ $nights } Nächte)
evidence-tool = alle Motoren diese Nacht mit { $low } bis { $high } x dem Strom dieses Schritts ({ $nights } Nächte)
evidence-drive = Fahrstrom { $before } A davor, { $now } A darin
evidence-heat = Motor { $motor } bei { $percent } % seiner Wärmegrenze
evidence-ways = dieser Motor mit { $own } x, der andere mit { $other } x seinem Strom davor
inspect-tool = Werkzeug und Korn jeder Bürste mit Plan und Schichtbuch vergleichen.
inspect-drive-wheels = Antriebsräder und Sauglippe ansehen: Schlamm, Verschleiß, etwas, das festhält.
inspect-in-the-air = Kopf nach Handbuch anheben, Hände weg: jede Bürste kurz laufen lassen, hören, wie sie ausläuft.
trace-normal = Beurteilt nach dem, was Motor { $motor } bei üblicher Arbeit zieht, im Ganzen der Nacht { $current } A: { $from }.

# Segments to order, of several machines.
heading-orders = Zu bestellende Segmente
orders-by = Bestellen bis
orders-machine = Maschine
orders-grit = Körnung
orders-brushes = Bürsten
orders-left = Übrig
orders-note = Schätzungen: vor dem Bestellen messen. Ein abgebauter Satz verschleißt nicht und steht nicht hier.

# Die Seite der langsamen Änderungen.
trend-heading = Langsame Änderungen, { $from } bis { $to }
trend-machine = { $machine }: { $nights ->
        [one] { $nights } Nacht
       *[other] { $nights } Nächte
    }
trend-nothing = In diesen Nächten war kein Zeichen zu sehen.
trend-note = Punkte sind Nächte, die dicke Linie ist das, wonach das Zeichen beurteilt wird, die Klammer an ihrem Ende ihr 95-%-Bereich (Theil-Sen), eine gestrichelte senkrechte Linie ein Sprung. Grenzen stehen in der Maschinendatei; Ursachen und Prüfungen sind übliche Praxis, ohne veröffentlichte Quelle.
trend-no-load = Strom in der Luft, Motor { $motor }
trend-run-down = Auslauf bis zur Hälfte, Bürste { $motor }
trend-winding = Wicklung und Zuleitung, Motor { $motor }
trend-battery = Batterie und Zuleitung
trend-drive-slow = Fahrstrom, langsam
trend-drive-fast = Fahrstrom, schnell
trend-way = Weg derselben Pflege
trend-limit = gemeldet ab { $value }
trend-too-few = { $name }: zu wenige Nächte, { $values } von { $needed }.
trend-steady = { $name }: gleichbleibend.
trend-drifted = { $name } hat sich um { $change } geändert; gemeldet ab { $limit }.
trend-coming = { $name } hat sich um { $change } geändert und erreicht etwa am { $date } die Grenze von { $limit }.
trend-stepped = { $name } sprang am { $date } von { $from } auf { $to }, { $change }; gemeldet ab { $limit }.
trend-line = { $values } Nächte von { $from } bis { $to }: { $first } bis { $last }, { $change } (95-%-Bereich { $low } bis { $high }).
trend-better = Besser seit { $date }, von { $from } auf { $to }: nur was folgte, wird beurteilt.
trend-may-be = Es kann sein: { $what }.
trend-may-heavy = Motor oder Getriebe läuft schwer: zieht in der Luft mehr und steht früher; ein Lager, das Getriebeöl oder etwas um die Welle
trend-may-air = Motor oder Getriebe läuft in der Luft schwerer; vielleicht hebt der Kopf auch nicht frei vom Boden
trend-may-stops = die Bürste steht ohne Strom früher: Lager oder Getriebe schwer, oder etwas streift
trend-may-winding = der Motorkreis hat mehr Widerstand: Kohlebürsten kurz oder verklemmt, Kommutator schmutzig, ein Stecker oder Kabel, das warm wird
trend-may-battery = die Batterie gibt unter gleicher Last mehr nach: alte oder trockene Zellen, ein loser oder korrodierter Pol
trend-may-drive = das Fahren zieht mehr: Sauglippe zu fest oder verschlissen, eine schleifende Bremse, platte oder umwickelte Räder, oder der Saugmotor
trend-may-longer = dieselbe Pflege zählt als längerer Weg: ein abgefahrenes Rad dreht öfter, oder der Bereich wird anders gefahren
trend-may-shorter = dieselbe Pflege zählt als kürzerer Weg: Impulse des Fahrsensors fehlen, oder der Bereich wird anders gefahren
trend-check-wound = Schnur, Band oder Draht um die Bürstenwelle
trend-check-turn-play = die Bürste von Hand drehen: rau, schwer, Spiel
trend-check-turn = die Bürste von Hand drehen: rau oder schwer
trend-check-oil = Getriebeöl, Lecks und Wärme nach der Schicht
trend-check-bearing = Lagergeräusch; das Lager tauschen lassen, bevor es frisst
trend-check-clears = die Bürste ist bei gehobenem Kopf frei vom Boden
trend-check-clamp = den Stromsensor gegen eine Stromzange
trend-check-skirt = Schürze oder Spritzschutz streift an der Bürste
trend-check-plugs = Stecker und Kabel dieses Motors: verfärbt, lose, warm nach der Arbeit
trend-check-carbon = Länge und Feder seiner Kohlebürsten
trend-check-commutator = Kommutator: dunkel, riefig, staubig
trend-check-terminals = Pole und Kabelschuhe: sauber, fest, nach der Arbeit nicht warm
trend-check-water = Wasserstand nasser Zellen, mit Augenschutz und an frischer Luft
trend-check-charged = jede Nacht ganz geladen; die Anzeige des Ladegeräts
trend-check-cells = Spannung jeder Zelle oder jedes Blocks unter Last
trend-check-squeegee = Sauglippe, ihre Höhe und Neigung
trend-check-wheels = etwas um ein Rad gewickelt; Reifendruck, wo Luft darin ist
trend-check-brake = die Feststellbremse löst ganz
trend-check-hose = Saugschlauch und Filter: verstopft ändern sie den Strom des Motors
trend-check-sensor-wheel = Verschleiß und Schlupf des Rades, an dem der Fahrsensor sitzt
trend-check-distance = eine gemessene Strecke fahren und `speed.wheel_factor` danach setzen
trend-check-same-way = ob der Bereich noch gleich gefahren wird und seine Marken stimmen

# Langsame Änderungen als Text für Terminals.
trend-column-sign = Zeichen
trend-column-nights = Nächte
trend-column-first = anfangs
trend-column-last = zuletzt
trend-column-change = Änderung (95 %)
trend-column-so = Befund
trend-change = { $change } ({ $low } bis { $high })
trend-short-few = zu wenige Nächte
trend-short-steady = gleichbleibend
trend-short-better = gleichbleibend, besser seit { $date }
trend-short-drifted = PRÜFEN: driftet
trend-short-coming = PRÜFEN: an der Grenze etwa am { $date }
trend-short-stepped = PRÜFEN: sprang am { $date }

## Messwerte im Terminal (`browse`)

# Namen von Spuren: höchstens 18 Buchstaben; mehr passt nicht ins kleinste Terminal.
screen-standing = Drehte im Stand
screen-near-stall = Fast blockiert
screen-trip = Motor ohne Strom
screen-dry = Trockenlauf?
screen-pressure = Druck nicht voll
screen-head = Drehte, Kopf oben
screen-events-reading = Vorfälle (folgen)
# Links an einer Spur, dahinter der Wert; höchstens 13 Buchstaben.
screen-limit-standing = steht
screen-limit-over = zu viel Druck
screen-limit-stall = blockiert
screen-limit-heat = Grenze
screen-limit-warning = Warnung
screen-limit-empty = leer
# Rechts an einer Spur; höchstens 9 Buchstaben, an und aus zusammen 7.
screen-on = an
screen-off = aus
screen-event = Vorfall
screen-near = nahe
screen-quiet = Ruhe
# Wie schlimm ein Vorfall ist.
screen-severe = schwer
screen-inspect = ansehen
screen-slight = leicht
screen-note = Notiz
screen-motor = Motor { $motor }
screen-more = { $count ->
        [one] 1 weiterer
       *[other] { $count } weitere
    }
screen-nothing-recorded = in dieser Nacht wurde nichts aufgezeichnet
screen-no-event-after = danach kein Vorfall mehr
screen-no-event-before = davor kein Vorfall
screen-events-awaited = Vorfälle werden noch gelesen
screen-how-to-go = { $typed }: Uhrzeit wie 1:23:45 oder Vorfall eingeben
screen-not-this-night = { $typed } ist nicht in dieser Nacht: bitte mit Datum
screen-too-small = bitte mindestens { $columns } x { $rows } Zeichen
screen-asked = gehe zu: { $typed }
screen-asked-hint = (1:23:45, Datum und Uhrzeit, oder Vorfall)
# Die Zeile der Tasten: im Ganzen höchstens 60 Buchstaben, mit ihren Zeichen.
screen-move = Zeit
screen-zoom = Zoom
screen-next = Vorfall
screen-go = gehe zu
screen-help = Hilfe
screen-leave = Ende
screen-more-lanes = { $count ->
        [one] 1 weitere Spur
       *[other] { $count } weitere Spuren
    }
screen-reading = Nacht wird gelesen
# Die Seite der Tasten: Tasten höchstens 16 Buchstaben, was sie tun höchstens 41.
screen-keys-pages = Bild↑↓ Leertaste
screen-keys-ends = Pos1 Ende
screen-keys-leave = q  Strg-C
screen-help-move = Cursor um eine Spalte; Ansicht folgt
screen-help-pages = eine Seite zurück, weiter
screen-help-ends = Anfang, Ende der Nacht
screen-help-zoom = vergrößern, verkleinern, ganze Nacht
screen-help-next = nächster, voriger Vorfall
screen-help-go = zu Uhrzeit, Datum und Uhrzeit, Vorfall
screen-help-nights = die Nacht davor, danach
screen-help-lanes = weitere Spuren, wenn nicht alle passen
screen-help-leave = beenden
screen-help-curve = kleinster bis größter; keine Messwerte
screen-help-limit = geltende Grenze, hier 75
screen-help-switch = Schalter an, beides, aus
screen-help-detector = Melder im Vorfall, nahe daran, in Ruhe
screen-help-events = Vorfall: schwer, ansehen, leicht, Notiz
