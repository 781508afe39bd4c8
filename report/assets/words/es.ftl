# The words of the sheet in Spanish, in the syntax of Project Fluent.
#
# Not reviewed by a native practitioner of floor care. Signal words as usual in
# Spanish signs by ANSI Z535 and ISO 3864-2: ADVERTENCIA, AVISO.

## Numbers and dates

not-known = no se sabe
figure-under = menos de { $value }
figure-over = más de { $value }
unit-speed-us = mph
unit-speed-si = m/s
unit-area-us = pies²
unit-area-si = m²
unit-length-us = pulg
unit-length-si = mm
unit-distance-us = mi
unit-distance-si = km

date-long = { $weekday }, { $day } { $month } { $year }
date-day = { $day } { $month }
date-day-year = { $day } { $month } { $year }
date-mon = lun
date-tue = mar
date-wed = mié
date-thu = jue
date-fri = vie
date-sat = sáb
date-sun = dom
date-jan = ene
date-feb = feb
date-mar = mar
date-apr = abr
date-may = may
date-jun = jun
date-jul = jul
date-aug = ago
date-sep = sept
date-oct = oct
date-nov = nov
date-dec = dic

## Signal words

signal-warning = ADVERTENCIA
signal-notice = AVISO

## Layout and text for terminals

layout-page = Página { $number } de { $count }
layout-continued = { $heading }, continuación
layout-something-to-do = algo que hacer
layout-nothing-to-draw = No se observó tiempo de cepillo: no hay nada que dibujar.
layout-band = banda { $band }
layout-faster = más
layout-brush-on = Cepillo
layout-events = Eventos
layout-sign-standing = cepillo giró parado
layout-sign-stall = motor bloqueado
layout-sign-pressure = presión excesiva
layout-sign-other = otro
layout-numbers = Números: ver Eventos.
layout-numbers-and-current = Números: ver Eventos. Corriente: motor más alto.
text-speed = Velocidad
text-current = Corriente
text-events = Eventos
text-time = Hora
text-ribbon =
    Velocidad media, mayor corriente; un bloque lleno es { $speed } en { $fastest }, { $current }
    en { $strongest }. / sin lecturas, que no es cero. v el cepillo giró con la máquina parada,
    S motor bloqueado, o presión excesiva.
text-ribbon-other =
    Velocidad media, mayor corriente; un bloque lleno es { $speed } en { $fastest }, { $current }
    en { $strongest }. / sin lecturas, que no es cero. v el cepillo giró con la máquina parada,
    S motor bloqueado, o presión excesiva, + otro.
text-bars = { $label }; minutos. # en una banda, = fuera
text-up = más

## Frame of the sheet

sheet-title = Hoja de turno, { $machine }, { $date }
sheet-heading = Hoja de turno, { $date }
sheet-subject = Trabajo de una máquina de pisos en { $site }
sheet-of-no-machine = Hoja de turno sin máquina
sheet-hours = { $first }, { $begin } a { $last }, { $end }
sheet-clocks-change = { $length }: en este turno el reloj cambia de { $from } a { $to }
sheet-unprintable =
    Algunos nombres o mensajes tienen letras que faltan en la tipografía de esta hoja, o
    caracteres ocultos; cada uno se imprime como { $sign }.
sheet-unprintable-foot = { $foot }; { $sign } es una letra que aquí no se puede imprimir
heading-glance = De un vistazo
heading-speeds = Tiempo a cada velocidad, cepillos girando
heading-ribbon = El turno en el tiempo
heading-events = Eventos
heading-sections = Secciones
heading-motors = Motores de cepillo
heading-segments = Segmentos
heading-data = Datos
heading-nothing-recorded = En este turno no se registró nada
heading-what-to-check = Qué revisar
heading-problems = Fallos en los datos
heading-remarks = Anotado en el libro de turno
nothing-recorded =
    Ningún registro de esta máquina cubre estas horas. No se sabe qué se hizo en el piso: esta
    página no dice que no se trabajó.

## On every sheet

heading-checks = Revisiones a mano
heading-cautions = Precauciones
check-segment = Cada semana: segmento más corto ________ { $unit }, anotado
check-brushes = Los cepillos giran libres; ningún segmento flojo ni faltante
check-water = Llega agua a cada cepillo; tanques y filtros limpios
check-vacuum = Aspiración y labio secador no dejan rayas
check-battery = Batería cargada; enchufes y cables sanos
check-grit = Grano correcto montado para el siguiente paso, anotado
check-recorder = Luz del registrador encendida, puente enchufado
caution-before-hands =
    Antes de acercar las manos a los cepillos: pare la máquina, saque la llave, desconecte la
    batería.
caution-wet = El piso mojado resbala: ciérrelo hasta que seque.
caution-slurry = El lodo puede contener sílice: manténgalo húmedo, no barra en seco.
caution-battery = Batería en carga: ventile; sin llamas, sin chispas.
caution-manual =
    El manual de la máquina, las normas locales y los profesionales autorizados van antes que
    esta hoja.
sign-operator = Operador
sign-lead = Encargado
sign-date = Fecha y hora
missing-used = ¿Se usó la máquina? Si no, todo está bien.
missing-power = ¿Tiene corriente el registrador de la máquina, y está encendida su luz?
missing-bridge = ¿Está enchufado el puente, y están firmes sus cables?
missing-copied = ¿Se copiaron los registros de esta máquina, y a la carpeta que se leyó?
missing-settings = ¿Coinciden la clave de la máquina y el reloj del registrador con los ajustes?

## The lead's questions

ask-speed = ¿Velocidad correcta y cuánto?
ask-standing = ¿Giró el cepillo parado?
ask-area = ¿Cuánta área, qué pasadas?
ask-motor = ¿Motor bloqueado o con presión?
ask-steps = ¿Qué paso está hecho, qué sigue?
ask-blade = ¿Cuánto segmento queda?
ask-data = ¿Qué tan completos son los datos?

## Charts

chart-not-recorded = no registrado
chart-no-readings = sin lecturas
chart-speed = Veloc., { $unit }
chart-current = Corriente, A
chart-minutes = Minutos
chart-shades = Oscuro: en una banda. Claro: fuera.
chart-ribbon-legend =
    Línea: media de { $time }, gruesa fuera de la banda; rayas: banda; gris: de menor a mayor;
    inclinado: sin lecturas.
chart-too-slow = lento
chart-in-band = en banda
chart-too-fast = rápido
chart-no-band = sin banda
chart-band = Banda
chart-slow = Bajo
chart-in = En
chart-fast = Sobre
chart-all = Todo
heading-bars = Tiempo de cepillo por velocidad
heading-wrong = Fallos en los datos

## Heads of columns in several tables

column-work = Trabajo

## Names of places, work and motors

place-nobody-marked = una sección que nadie marcó
place-unknown-section = sección número { $number } (no está en el archivo del sitio)
place-not-marked = sin marcar
place-step = paso { $number }
place-step-and-grit = paso { $number } (grano { $grit })
place-daily = pasada diaria
place-work-step = Paso { $number }
place-work-daily = Pasada diaria
place-work-not-marked = Sin marcar
place-work-and-grit = { $work }, grano { $grit }
place-motor-left = 1 (izq.)
place-motor-right = { $number } (der.)

## Counts

count-times = { $count ->
        [one] { $count } vez
       *[other] { $count } veces
    }
count-sections = { $count ->
        [one] { $count } sección
       *[other] { $count } secciones
    }

## The table of sections

column-section = Sección
column-from-to = De–a
column-swept = Barrido
sections-none = No se vio trabajo de cepillo en ninguna sección.
sections-brush-on = Cepillo
sections-speed = Veloc.
sections-passes = Pasadas
sections-what-next = Qué sigue
sections-forbidden = Nunca se debe pulir: revise el piso.
sections-done = Hecho.
sections-done-next = Hecho; sigue el paso { $step }.
sections-done-last = Hecho: el último paso.
sections-too-early = Demasiado pronto: primero el paso { $step }, faltan { $time } en banda.
sections-not-done = Sin terminar: { $time } más en banda.
sections-no-section = No se sabe: ninguna sección marcada.
sections-no-step = No se sabe: ningún paso marcado.
sections-stood = Parada { $times }.
sections-all =
    En total { $area } { $unit } barridos, { $rate } { $unit } por hora de cepillo; camino
    recorrido { $way }. El área barrida es ancho de cepillado x camino: el piso barrido otra vez
    cuenta otra vez, también en las pasadas (área barrida entre el área de la sección).
sections-overlap-measured =
    Según el trayecto, { $share } fue piso ya barrido en la misma visita: { $net } { $unit }
    netos.
sections-overlap-assumed =
    No se conoce la mayor parte del trayecto: con { $share } de traslape entre pasadas vecinas
    (supuesto, no medido) { $net } { $unit } netos.
sections-note-step =
    Un paso está hecho cuando se alcanzan sus minutos en banda, sumados los de noches
    anteriores y de todas las máquinas.
sections-note-speed = La velocidad es la media mientras giran los cepillos.
sections-note-stood = Parada: con los cepillos girando, ver Eventos.
sections-note-book = según el libro de turno, no marcado en la máquina.
sections-note-assumed = † supuesto: nadie indicó dónde estaba la máquina; el trabajo se
    comparó con el plan de la noche, con esta certeza.
sections-correct-assumed = Para corregir uno, anote su comienzo en el libro de turno, así:
    { $lines }
sections-note-unknown =
    no se sabe: sin marca no hay banda ni área de referencia; sin tiempo de cepillo no hay
    velocidad media.

## More counts

count-shifts = { $count ->
        [one] { $count } turno
       *[other] { $count } turnos
    }
count-measurements = { $count ->
        [one] { $count } medición
       *[other] { $count } mediciones
    }
count-days = { $count ->
        [one] { $count } día
       *[other] { $count } días
    }
count-places = { $count ->
        [one] { $count } lugar
       *[other] { $count } lugares
    }

## Segments

segments-grit = Grano montado
segments-grit-on = { $value }, el { $date }
segments-length-on = { $value } el { $date }
segments-measured = Última medición, el más corto
segments-left = Queda al fin del turno, estimado
segments-order-length = Largo para pedir
segments-order-reached = Largo para pedir, estimado
segments-order-by = Último día para pedir, estimado
segments-used-up = Agotado, estimado
segments-rate = Tasa de desgaste
segments-energy = Energía de fricción, turno
segments-energy-measured = Igual, desde la medición
segments-energy-fitted = Igual, desde el montaje
segments-energy-reach = Igual, hasta donde hay registro
segments-energy-and-shifts = { $energy }, { $shifts } con trabajo de cepillo
segments-interval = { $best }, intervalo de 80 %: { $low } a { $high }
segments-beyond = más de dos años
segments-rate-unit-us = milésimas de pulgada por MJ
segments-rate-unit-si = mm por MJ
segments-rate-from-file = la del archivo de la máquina, nada medido desde que empiezan los registros
segments-rate-measured = de { $measurements }
segments-column-brush = Cepillo
segments-column-measured = Última medición
segments-column-left = Queda, intervalo de 80 %
segments-column-order = Largo para pedir
segments-column-energy = Energía desde el montaje
segments-left-range = { $best }, { $low } a { $high }
segments-order-notice = Pida segmentos nuevos (estimación); mídalos antes de decidir.
segments-method-by-file =
    es la del archivo de la máquina hasta que se midan largos en el tiempo de los registros
segments-method-fitted = parte de la del archivo de la máquina y se ajusta a sus mediciones
segments-method =
    Método: largo perdido = tasa de desgaste x energía de fricción del cepillo (por la corriente
    del motor). La tasa { $rate } (error de lectura { $error }). Se supone que los días por
    venir son como los de los registros. Intervalo de 80 %: 1 de cada 10 casos queda debajo, 1
    de cada 10 encima; incluye la incertidumbre de tasa, largos y uso diario. Último día para
    pedir: el extremo temprano del intervalo menos { $days } de entrega. Es una estimación: lo
    que usted mide siempre vale más.

## Checks that come round

heading-consumables = Revisiones de máquina y consumibles
consumables-due = { $name }: pendiente, hecho por última vez el { $date }.
consumables-never = { $name }: pendiente, aún no consta en el libro de turno.
consumables-bad = { $name }: defecto hallado el { $date }, sin anotar su arreglo.
consumables-done = { $name }: hecho.
consumables-later = { $name }: próxima vez el { $date }.

## Remarks on wear

wear-of-shortest = el segmento más corto
wear-of-brush = el cepillo { $brush }
wear-no-day = No se da ningún día hasta aclararlo: mida otra vez.
wear-left-out = Se dejó fuera.
wear-rate-differs =
    La tasa de desgaste medida ({ $whose }), { $found } { $unit }, está lejos de { $given } del
    archivo de la máquina: si grano y piso son los de siempre, escriba la tasa medida en
    blade.wear_rate.
wear-scatter =
    Los largos medidos ({ $whose }) varían { $deviation }, más que el error de medición de {
    $error } del archivo de la máquina, y por eso los intervalos son más anchos: mida siempre
    los mismos segmentos de la misma manera.
wear-longer-than-new =
    El largo medido el { $date } ({ $whose }), { $length }, es mayor que el de un segmento
    nuevo: corríjalo en el libro de turno, o blade.new_length en el archivo de la máquina.
wear-grew =
    El largo medido el { $date } ({ $whose }), { $length }, es mayor que { $from } del { $since
    }, aunque no se montó ninguna herramienta entre tanto: anote la herramienta nueva en el
    libro de turno o corrija el número.
wear-too-short =
    El largo medido el { $date } ({ $whose }), { $length }, es mucho menor que { $expected }, lo
    que explica la energía de fricción: ¿se midió otro cepillo u otro grano, está bien asentado
    el cepillo, hay segmentos rotos?
wear-too-long =
    El largo medido el { $date } ({ $whose }), { $length }, es mucho mayor que { $expected }, lo
    que explica la energía de fricción: ¿se midió otro cepillo, o se montó una herramienta que
    no está en el libro de turno?
wear-uneven-by-motor =
    Su motor también hizo { $more } más de trabajo de fricción: revise que la plataforma esté
    nivelada y presione igual en ambos lados.
wear-uneven-not-by-motor =
    Los motores no lo explican: revise que todos los segmentos sean del mismo tipo y estén
    firmes, y que se midan los mismos puntos.
wear-uneven-cause =
    Revise que la plataforma esté nivelada y que todos los segmentos sean del mismo tipo.
wear-uneven =
    Desgaste desigual, medido el { $date }: el cepillo { $first } tiene { $short }, el cepillo {
    $second } tiene { $long }. { $cause } Siga el manual de la máquina.
wear-quadrants =
    Desgaste desigual, medido el { $date }: de { $short } a { $long } en el cepillo { $brush }.
    Compruebe que el cabezal está nivelado y los segmentos firmes. Siga el manual de la máquina.
wear-seating =
    El cepillo parece mal montado: la longitud de { $whose } medida el { $date }, { $length }, es
    mucho menor que los { $expected } esperados desde su montaje el { $fitted }. Compruebe el
    asiento y los segmentos antes del próximo trabajo. Siga el manual de la máquina.
wear-seating-uneven =
    El cepillo { $brush } parece mal montado: medido el { $date }, de { $short } a { $long } tan
    poco después de su montaje el { $fitted }. Compruebe el asiento y el nivel del cabezal antes
    del próximo trabajo. Siga el manual de la máquina.
wear-nothing-noted =
    No hay herramienta ni largo anotados: indique un libro de turno (--book) con el día del
    montaje y los largos medidos.
wear-not-logged =
    No hay registros desde el último largo conocido del { $since }: mida los segmentos y anótelo
    en el libro de turno.
wear-logged-late =
    Los registros empiezan el { $date }, demasiado después del último largo conocido del {
    $since }: mida los segmentos y anótelo en el libro de turno.
wear-filled-up =
    Los registros empiezan el { $date }, el último largo anterior es del { $since }: para los
    días intermedios se supuso el día medio. Mida los segmentos para estar seguro.
wear-no-work = No se vio trabajo de cepillo desde el { $since }: no se puede decir ningún día.
wear-far-away = Con este uso, más de dos años hasta el largo para pedir.
wear-used-up =
    Según esta estimación el abrasivo ligado está agotado: mida antes de la próxima corrida y
    monte segmentos nuevos como dice el manual de la máquina.
wear-never-measured = Nunca se midió desde el montaje el { $date }: se supone el largo de ese día.
wear-brush-never-measured =
    El cepillo { $brush } nunca se midió desde el montaje el { $date }: mida cada cepillo.
wear-measure-due = Última medición el { $date }: mida hoy los segmentos.
wear-damaged =
    Los registros desde el montaje están dañados en { $places } (underbrush verify los muestra):
    puede quedar menos de lo indicado.
wear-little-seen =
    Solo se observó { $share } del tiempo registrado desde el montaje, muy poco para juzgar
    bien: puede quedar menos de lo indicado. Revise el cable del puente.
wear-future =
    { $count ->
        [one] { $count } entrada del libro de turno cae
       *[other] { $count } entradas del libro de turno caen
    } después del último registro, la primera el
    { $date }, y quedaron fuera: revise las fechas.
wear-which-brush =
    El largo medido el { $date } no dice de qué cepillo es: se tomó como del cepillo { $brush },
    el que más ha trabajado. Anote el largo de cada cepillo.
wear-no-such-brush =
    Los largos medidos el { $date } son de más cepillos que los { $brushes } del archivo de la
    máquina: corrija uno de los dos.
wear-not-apart =
    Los motores de cepillo no se registran por separado: se supone que cada cepillo hace el
    mismo trabajo.
wear-several-tools =
    El { $date } se montó más de una herramienta: toda la noche cuenta para la última.

## Una hoja hecha de nuevo

issue-short = edición { $number }
issue-replaces = Edición { $number }, en lugar de la edición { $before }: después de hacerla
    llegaron más registros de esta noche.

## Steps

steps-before = el paso { $step } necesita { $time } más en banda antes del paso { $ahead }
steps-go-on = siga con el paso { $step }: { $time } más en banda
steps-was-last = fue el último paso
steps-step-done = paso { $step } hecho
steps-short-partly = paso { $done } hecho, paso { $step } no
steps-short-open = paso { $step } sin terminar
steps-short-next = paso { $done } hecho, sigue el paso { $next }
steps-short-all = todos los pasos hechos
steps-begin = empiece el { $step }
steps-begin-for = empiece el { $step }, { $time } en banda

## Answers

count-gaps = { $count ->
        [one] { $count } hueco
       *[other] { $count } huecos
    }
count-bad-frames = { $count ->
        [one] { $count } trama perdida o dañada
       *[other] { $count } tramas perdidas o dañadas
    }
count-problems = { $count ->
        [one] { $count } problema
       *[other] { $count } problemas
    }
count-more = { $count } más
answer-too-little = Juzgado por { $share } de su tiempo: muy poco.
answer-speed-words =
    Velocidad correcta: «sí» desde { $yes } del tiempo de cepillo en banda, «casi siempre» desde
    { $mostly } (elección propia).
answer-not-observed = No se sabe: velocidad y cepillo no se observaron
answer-speed-no-mark = No se sabe: { $time } de trabajo de cepillo, nada con marca
answer-speed-no-brush = Ningún cepillo giró en { $time } de tiempo observado
answer-speed-yes = Sí: { $share } de { $time } de cepillo en la banda de velocidad
answer-speed-mostly = Casi siempre: { $share } de { $time } de cepillo en la banda de velocidad
answer-speed-no = No: { $share } de { $time } de cepillo en la banda de velocidad
answer-speed-detail = Muy lento { $slow }, muy rápido { $fast }.
answer-speed-other = Otros { $time } sin marca, por eso sin banda.
answer-standing-none = Nada visto en { $time } de tiempo observado
answer-standing = Sí: { $times }, { $total } en total
answer-standing-worst =
    Lo peor: { $time } en { $section } a las { $at }, como { $passes } pasadas en un punto.
answer-standing-worst-cut =
    Lo peor: al menos { $time } en { $section } a las { $at }, como { $passes } pasadas en un
    punto.
answer-area = { $area } { $unit } barridos en { $time } de cepillo; el traslape cuenta doble
answer-area-no-passes = No se saben las pasadas: no se marcó ninguna sección.
answer-area-passes = Pasadas: { $parts }.
answer-motor-unknown = No se sabe: no se registró corriente de motor de cepillo
answer-motor-none = Ni lo uno ni lo otro mientras giraban los cepillos
answer-motor-largest = Mayor corriente { $current } A.
answer-motor-stalled = bloqueado { $times }
answer-motor-no-stall = sin bloqueo
answer-motor-over = presión excesiva { $times }, { $total } en total
answer-motor-not-over = sin presión excesiva
answer-motor-peak = Pico de { $current } A en el motor { $motor } en { $section } a las { $at }.
answer-steps-open = { $sections } sin terminar
answer-steps-done = { $sections } con el paso hecho
answer-steps-daily =
    pasada diaria en { $count ->
        [one] { $count } sección
       *[other] { $count } secciones
    }
answer-steps-unknown = No se sabe: no se marcó ningún paso
answer-blade-unknown = No se sabe
answer-blade-measure = Mida los segmentos y anote el largo en el libro de turno.
answer-blade-order-now = pida nuevos ya
answer-blade-order-by = pida antes del { $date }
answer-blade-order-unknown = no se sabe el día para pedir
answer-blade = Unos { $length } (estimado); { $order }
answer-blade-likely = Probable: { $low } a { $high } (intervalo de 80 %).
answer-blade-reached = Quedarán { $length } hacia el { $best } (probable: { $early } a { $late }).
answer-data = { $observed } observadas de { $recorded } registradas ({ $share })
answer-data-unknown = No se sabe: no se conoce el tiempo registrado
answer-data-no-problem = ningún problema encontrado
answer-data-no-other-problem = ningún otro problema encontrado
answer-data-lost = { $problems }, { $count } con pérdida de datos
answer-data-clock = reloj exacto a { $time }

## What to do

actions-morning = Para esta mañana
actions-tonight = Para esta noche
actions-nothing = No se encontró nada que hacer aparte de las revisiones de siempre.
actions-more = Y { $count } más: ver las páginas siguientes.
actions-more-sections = Y { $count } más: ver Secciones.
actions-forbidden =
    A las { $at } giraron cepillos en { $section }, que nunca se debe pulir: revise el piso.
actions-forbidden-more =
    Giraron cepillos donde nunca se pule, { $count ->
        [one] { $count } vez
       *[other] { $count } veces
    } más: ver Eventos.
actions-spot = Revise { $section } ({ $at }, parada { $time }): { $remedy }.
actions-spot-cut = Revise { $section } ({ $at }, parada al menos { $time }): { $remedy }.
actions-spots-more =
    Revise { $count ->
        [one] { $count } punto
       *[other] { $count } puntos
    } más: ver Eventos.
actions-order-short = Pida segmentos nuevos ya (estimado: muy cortos).
actions-order-now = Pida segmentos nuevos ya para tenerlos a tiempo (estimado).
actions-order-by = Pida segmentos nuevos antes del { $date } (estimado).
actions-measure = Mida los segmentos: no hay ninguna medición en el libro de turno.
actions-measure-due = Mida los segmentos: última medición el { $date }.
actions-plan =
    Plan: { $count ->
        [one] { $count } trabajo
       *[other] { $count } trabajos
    }, { $takes }; ver Esta noche.
actions-grind = { $section }: { $task }.
actions-not-planned = { $section }: { $task } (no está en el plan de esta noche).
actions-mark = Marque sección y paso: { $time } sin marca.
actions-lost = Se perdieron lecturas ({ $problems }): ver Datos.

## Events

column-number = N.º
column-at = Hora
column-lasted = Duró
column-what = Qué
column-where = Dónde
column-what-to-do = Qué hacer
note-cut-short = las lecturas terminan ahí: puede haber durado más.
events-how-bad = Qué tan grave
events-none = Ninguno en { $time } de tiempo observado.
events-unknown = No se sabe: no se observó nada.
events-stood = Parada, cepillo girando
events-energy-unknown = energía desconocida
events-slight = leve: { $passes } pasadas, { $energy }
events-inspect = revisar: { $passes } pasadas, { $energy }
events-severe = grave: { $passes } pasadas, { $energy }
events-glance = eche un vistazo al punto
events-look = busque un anillo
events-expect = espere un anillo o un hoyo
events-note =
    Pasadas: tanto desbaste en ese punto como tantas pasadas a mitad de la banda. Leve: menos de
    un cuarto de las pasadas de un paso entero; revisar: hasta un paso entero; grave: más. Estos
    límites son elección propia.

## Load of the brush motors

load-stall = Motor bloqueado
load-near-stall = Motor casi bloqueado
load-trip = Motor sin corriente
load-over-pressure = Presión excesiva
load-heavy = Carga alta
load-light = Poco contacto
load-uneven = Carga desigual
load-dry = Posible marcha en seco
load-hot = Motor caliente
load-of-normal = { $ratio } x normal
load-mean = media { $current } A
load-bad = motor { $motor }, { $load }
load-bad-uneven = el motor { $motor } consume más
load-bad-uneven-by = el motor { $motor } consume más: { $ratio } a 1
load-bad-hot = motor { $motor }, { $share } de su límite
load-bad-trip = motor { $motor }, { $current } A antes
load-bad-peak = motor { $motor }, pico { $current } A
load-bad-sudden = motor { $motor }, pico { $current } A, de golpe
load-bad-slow = motor { $motor }, pico { $current } A, subió despacio
advice-stall = busque qué detuvo el cepillo
advice-near-stall-drag = busque un punto áspero o seco
advice-near-stall = busque ahí una junta, perno o borde
advice-trip = halle la causa antes de rearmar el interruptor
advice-pressure = revise la presión del cabezal
advice-light-pressure = ponga la presión al máximo
advice-light-head = revise que el cepillo esté puesto y el cabezal abajo
advice-light-all = revise que el cabezal presione
advice-light = revise este cepillo: gasto, vidriado, asiento
advice-uneven = revise nivel de la plataforma y segmentos
advice-dry = revise que llegue agua a los cepillos
advice-hot = deje que se enfríe; revise si roza
motors-unknown = No se sabe: no se registró corriente de ningún motor de cepillo.
motors-motor = Motor
motors-mean = Media
motors-normal = Normal
motors-at-work = Trabajo
motors-median = Mediana
motors-p95 = 95 % bajo
motors-largest = Mayor
motors-times = veces
motors-stalled = Bloqueado
motors-heat = Calor
motors-note-heat =
    Calor: mayor parte de lo que el motor aguanta a la larga, solo por su corriente (réplica
    térmica, constante de tiempo { $time }); más de 100 % es demasiado.
motors-note-dry =
    Sin agua los motores consumieron { $share } % más de lo normal con agua ({ $time }).
motors-note-few = Las corrientes se leyeron en menos de cuatro quintos del tiempo de cepillo.
motors-notice =
    La corriente alta desgasta motores y segmentos: revíselos según el manual de la máquina.
motors-warning-trip =
    Un interruptor que saltó tiene una causa. Desconecte la batería antes de tocar cepillos o
    cables; rearme solo como dice el manual de la máquina.
motors-note-limits =
    Mientras giran los cepillos. Presión excesiva: más de { $pressure } A por más de {
    $pressing }. Bloqueado: { $stall } A o más por más de { $stalling }, con el cepillo
    casi sin girar donde se mide su giro.
count-past-nights = { $count ->
        [one] { $count } noche pasada
       *[other] { $count } noches pasadas
    }
motors-normal-place = aprendido de { $nights } con esta herramienta en el mismo lugar
motors-normal-phase = aprendido de { $nights } con esta herramienta en el mismo tipo de trabajo
motors-normal-machine = aprendido de { $nights } de todo tipo de trabajo
motors-normal-file = como dice el archivo de la máquina
motors-normal-tonight =
    la mediana de este mismo turno, pues las noches pasadas son muy pocas; lo que estuvo mal
    toda la noche no se ve
motors-note-normal =
    Trabajo: media en marcha con presión máxima y agua. Normal para el mismo trabajo: { $from }.
motors-note-normal-error =
    Trabajo: media en marcha con presión máxima y agua. Normal para el mismo trabajo: { $from },
    error estándar { $error } A.
did-trip = El motor { $motor } perdió la corriente en { $section } a las { $at }
did-stall = El motor { $motor } se bloqueó en { $section } a las { $at }
did-hot = El motor { $motor } se calentó en { $section } a las { $at }
did-over-pressure = El motor { $motor } trabajó con presión excesiva en { $section } a las { $at }
did-light = El motor { $motor } tuvo poco contacto en { $section } a las { $at }
did-uneven = El motor { $motor } consumió más que el otro en { $section } a las { $at }
did-dry = El motor { $motor } quizá trabajó en seco en { $section } a las { $at }
did-heavy = El motor { $motor } trabajó pesado en { $section } a las { $at }
did-near-stall = El motor { $motor } casi se bloqueó en { $section } a las { $at }
did-more =
    y { $count ->
        [one] { $count } vez
       *[other] { $count } veces
    } más
## Programa

programme-heading = Programa
programme-title = Programa, { $site }, { $date }
programme-subject = Restauración del suelo de { $site }
programme-as-of = Después de la noche del { $date }
programme-summary = Estado del suelo
programme-restored = Restaurado
programme-due = Por refrescar
programme-in-work = En curso
programme-waiting = En espera
programme-never = No se pule nunca
programme-of-all = { $area } de { $all } ({ $share })
programme-missing = Falta por desbastar
programme-missing-value = { $time } en banda
programme-rate = Restaurado por noche
programme-rate-value =
    { $mean } de media; la media está entre { $low } y { $high } con una confianza del 80 %, según
    { $nights ->
        [one] { $nights } noche
       *[other] { $nights } noches
    } desde el { $since }
programme-rate-first = { $mean } en la primera noche
programme-finish = Todo restaurado
programme-finish-done = Sí.
programme-finish-day = { $best }, si sigue así
programme-finish-range = Hacia el { $best }; 8 de cada 10 veces entre el { $early } y el { $late }
programme-finish-open = Hacia el { $best }; 1 de cada 10 veces antes del { $early }, 1 de cada 10 después de más de dos años
programme-finish-nothing = No hay nada que restaurar: ningún suelo que se pueda pulir o ningún paso en el archivo del sitio.
programme-finish-not-begun = No se sabe: aún no hay ningún minuto de restauración registrado.
programme-finish-few =
    No se sabe: { $nights ->
        [one] { $nights } noche
       *[other] { $nights } noches
    } hasta ahora, { $worked } con trabajo que contó, son muy pocas.
programme-finish-far = A este ritmo, no en dos años.
programme-note-model =
    La fecha supone que las noches que vienen serán como las de hasta ahora, incluidas las de
    descanso; no sabe de cambios de personal o de máquinas ni de pasadas diarias que crecen con el
    suelo restaurado.
programme-note-days-off = Días sin trabajo, no contados: { $days }.
programme-note-unseen =
    { $nights ->
        [one] { $nights } noche
       *[other] { $nights } noches
    } sin ningún registro cuentan como noches sin trabajo.
programme-note-not-marked =
    { $time } de cepillos en marcha sin sección, porque nadie la marcó: aquí no cuentan.
programme-tonight = Esta noche, { $date }: propuesta
programme-plan-empty = No hay nada pendiente, o nada cabe.
programme-plan-note =
    Una propuesta según lo pendiente y lo que cabe; quien conoce el suelo sabe más. Las horas
    cuentan desde el inicio del turno, con los cambios de herramienta.
programme-plan-change = Montar grano { $grit }.
programme-plan-item = { $at } { $section }: { $work }; { $reason }.
programme-plan-runs = { $at } { $work } de { $count } secciones: { $sections }; { $reason }.
programme-plan-band = { $work }, { $time } en banda
programme-plan-part = { $work }, de ello { $time } en banda
programme-why-missed = sin hacer desde el { $since }
programme-why-not-known = pendiente desde el { $since }, sin registro desde entonces
programme-why-due = toca
programme-why-go-on = seguir
programme-why-next = paso siguiente
programme-why-refresh = refrescar, pendiente desde el { $since }
programme-why-begin = la siguiente en espera
programme-why-book = previsto en el libro de turno
programme-plan-takes = Ocupa { $takes } de { $hours }, con cepillos en marcha { $brush }.
programme-battery-given = Una carga da { $time } de cepillos (archivo del sitio).
programme-battery-learned =
    Una carga dio como mucho { $time } de cepillos, en { $nights } noches sin cargar.
programme-battery-unknown =
    No se sabe cuánto da una carga: solo las horas limitan el plan (battery_minutes en el archivo
    del sitio).
programme-pace-assumed =
    Hay muy pocos registros para saber cuánto dura el trabajo: todo el tiempo de cepillos cuenta como
    en banda.
programme-column-group = Grupo
programme-column-sections = Secciones
programme-column-never = Nunca
programme-column-due = Refrescar
programme-column-missed = Sin hacer
programme-column-section = Sección
programme-column-state = Estado
programme-column-in-band = En banda
programme-column-needed = Necesario
programme-column-passes = Pasadas
programme-column-speed = Velocidad
programme-column-nights = Noches
programme-column-what = Qué
programme-h-mm = h:mm
programme-groups-note = Secciones. Refrescar: restauradas a las que les toca. Sin hacer: restauradas cuya pasada diaria no se hizo.
programme-all-sections = Todas las secciones
programme-no-group = Sin grupo
programme-needing = Secciones que necesitan algo
programme-needing-none = Ninguna: lo empezado está terminado y no falta ninguna pasada diaria.
programme-table-note =
    En banda, necesario, pasadas, velocidad y noches son del paso abierto, con todas las noches y
    máquinas; en una sección restaurada, de su último paso.
programme-crew = Quién: { $list }.
programme-state-never = No pulir nunca
programme-state-in-work = En curso, paso { $step }
programme-state-restored = Restaurada { $date }
programme-state-due = Por refrescar desde el { $since }
programme-never-run = nunca
programme-what-missing = Faltan { $time }.
programme-what-missed =
    Pasada diaria sin hacer, { $nights ->
        [one] { $nights } noche
       *[other] { $nights } noches
    } con trabajo desde entonces; última: { $last }.
programme-what-not-known = Pasada diaria: no se sabe, sin registro desde que tocaba; última: { $last }.
programme-what-tonight = Pasada diaria esta noche; última: { $last }.
programme-what-later = Próxima pasada diaria: { $on }.
programme-what-by-hand = Según el libro de turno: paso { $steps }.
programme-odd-forbidden = Los cepillos giraron aquí { $time }: revisar el suelo.
programme-odd-early = El paso { $step } se trabajó antes de tiempo: { $time } no cuentan.
programme-odd-again = El paso { $step } se trabajó otra vez después del último, { $time }: el suelo puede estar mate.
programme-odd-assumed = { $share } de los minutos están bajo marcas supuestas.
programme-daily-runs =
    Pasadas diarias en secciones que según este registro no están restauradas: { $sections }. Si lo
    estaban antes de empezar, anotarlo en el libro de turno: done, step { $step }.
programme-odd-no-step = { $time } en un paso que el archivo del sitio no tiene.

## Coverage

coverage-heading = Cobertura según el trayecto
coverage-floor = Piso
coverage-give-or-take = Más o menos
coverage-of-section = De la sección
coverage-mean-times = Veces media
coverage-missed = Sin tocar
coverage-note =
    Piso: tocado al menos una vez; el traslape cuenta una vez. Más o menos: intervalo de 80 %
    por la deriva del trayecto, calculado con velocidad y giro; se supone que las pasadas son
    paralelas o en ángulo recto y terminan en los mismos dos lados. Sin tocar: entre pasadas,
    más ancho que { $strip } y no más ancho que el cepillado. Las visitas no se pueden
    superponer.
coverage-note-drift = Donde el trayecto derivó demasiado no se indica piso.
coverage-note-over =
    Más de 100 % de una sección: las vueltas al final quedan fuera, el trabajo siguió más allá
    de la marca, o el trayecto derivó.
coverage-note-parts =
    Fallaron lecturas durante una visita: cada parte tiene su renglón y pueden quedar una sobre
    otra.
coverage-note-left-out =
    { $count ->
        [one] { $count } visita
       *[other] { $count } visitas
    } con menos trabajo sin mostrar.
coverage-none-missed = ninguna franja sin tocar
coverage-strips-missed = { $area } { $unit } sin tocar
coverage-caption =
    Veces cepillado. { $area } { $unit } tocados, más o menos { $bound }; el trayecto puede
    errar { $drift }; { $missed }.
coverage-or-more = { $count } o más
coverage-sign-missed = sin tocar

## Driving

driving-heading = Velocidad
driving-p5 = 5 % del tiempo bajo
driving-median = Medio tiempo bajo
driving-p95 = 95 % del tiempo bajo
driving-too-fast =
    Muy rápido { $times }; de vuelta en la banda tras { $median } por lo común, { $longest } a
    lo más{ $open }.
driving-too-slow =
    Muy lento { $times }; de vuelta en la banda tras { $median } por lo común, { $longest } a lo
    más{ $open }; incluye vueltas y paradas.
driving-ended-otherwise = { $count ->
        [one] { $count } más terminó de otro modo
       *[other] { $count } más terminaron de otro modo
    }
driving-turned =
    El sentido cambió { $count ->
        [one] { $count } vez
       *[other] { $count } veces
    } con los cepillos girando.
driving-slip-spin = { $at } en { $section } (la velocidad de la rueda saltó)
driving-slip-sideways = { $at } en { $section } (muy rápido para la vuelta)
driving-slip-dragged = { $at } en { $section } (giró con la rueda parada)
driving-and-more = y { $count } más
driving-slips =
    Una rueda pudo patinar { $times }: { $named }. Camino y área cuentan lo que giró la rueda:
    revise la llanta y el piso ahí.

## Care of machine and floor

care-heading = Cuidado de máquina y piso
care-warning-slurry =
    El lodo puede contener sílice cristalina: enjuague y recójalo húmedo, no barra en seco;
    cierre el piso mojado. Deciden el manual de la máquina y las normas locales.
care-warning-charge =
    Una batería en carga puede soltar gas explosivo: ventile el cuarto, sin llamas, sin chispas.
    Deciden el manual de la batería y las normas locales.
care-vacuum = Aspiración apagada, cepillo girando
care-water = Muy poca agua
care-pressure = Sin presión máxima
care-head = Cabezal arriba, cepillo girando
care-forbidden = Piso que nunca se pule
care-do-vacuum = Revise si hay velo y enjuague
care-do-water = Revise si hay marcas de calor en piso y segmentos
care-do-pressure = Revise el acabado; ponga presión máxima
care-do-head = Baje el cabezal antes de encender
care-do-forbidden = Revise el piso
care-and-more = { $place } y { $count } más
note-longest = Se muestran los { $shown } más largos; { $hidden } más, { $rest } en total.
care-name-vacuum = aspiración
care-name-water = agua
care-name-pressure = ajuste de presión
care-name-head = posición del cabezal
care-too-little =
    Se leyó muy poco para juzgar (menos de { $least } del tiempo de cepillo): { $parts }.
battery-start = al inicio { $volts }
battery-end = al final { $volts }
battery-lowest = mínimo { $volts }
battery-rest = Batería en reposo: { $parts }.
battery-rest-drop = Batería en reposo: { $parts } (sumada su caída de { $drop } mV por A).
battery-load = Batería con carga: mínimo { $volts } a las { $at }.
battery-load-steady =
    Batería con carga: mínimo { $volts } a las { $at }; su corriente casi no cambió, por eso no
    se calculó el reposo.
battery-load-alone =
    Batería con carga: mínimo { $volts } a las { $at }; su corriente no se registra, por eso no
    se conoce el reposo en trabajo.
battery-deep = Se descargó demasiado (menos de { $volts } en reposo), lo que acorta su vida.
battery-low = Estaba baja (menos de { $volts }).
battery-not-full = No estaba llena al empezar el turno (llena desde { $volts } en reposo).
count-charges = { $count ->
        [one] { $count } carga
       *[other] { $count } cargas
    }
battery-charge = Tiempo de cepillo de llena a baja con este uso: { $time }.
battery-charge-usual =
    Tiempo de cepillo de llena a baja con este uso: { $time }; lo usual { $usual } ({ $charges
    }).
care-task-slurry = { $section } ({ $at }): quedó lodo { $time }{ $more }: revise, enjuague.
care-task-water = { $section } ({ $at }): poca agua { $time }{ $more }: busque marcas de calor.
care-task-more = y en { $count } más
battery-task-deep = Cargue la batería ya: demasiado baja.
battery-task-deep-volts = Cargue la batería ya: demasiado baja, { $volts }.
battery-task-charger = Batería baja, no llena al inicio: revise el cargador.
battery-task-charger-volts = Batería baja, { $volts }, no llena al inicio: revise el cargador.
battery-task-low = Cargue la batería por completo: baja.
battery-task-low-volts = Cargue la batería por completo: baja, { $volts }.
battery-task-not-full = Batería no llena al inicio: revise el cargador.
battery-task-weak = Una carga rinde menos que lo usual: haga probar la batería.

## Data

data-nothing-lost = nada perdido
data-recorded = Registrado
data-recorded-of = { $time } ({ $share } de las { $shift } del turno)
data-observed = Velocidad y cepillo observados
data-observed-of = { $time } ({ $share } de lo registrado)
data-power-ons = Encendidos (llave)
data-readings = Lecturas usadas
data-frames = Tramas del puente
data-frames-received = { $frames } recibidas; { $bad }
data-clock = Reloj
data-clock-unknown = no se sabe: ningún registro tiene hora
data-clock-right = exacto a { $time }
data-meter = Horómetro de cepillo de la máquina
data-meter-and-brush = { $meter } (tiempo de cepillo aquí: { $time })
data-no-problem = No se encontró ningún problema con registros, marcas ni ajustes.
data-gaps = Huecos al registrar
data-note-gaps = Sin lecturas de velocidad ni cepillo; nada se supone de estos tiempos.
count-lost = { $count ->
        [one] { $count } perdida
       *[other] { $count } perdidas
    }
count-damaged = { $count ->
        [one] { $count } dañada
       *[other] { $count } dañadas
    }
count-not-understood = { $count ->
        [one] { $count } no entendida
       *[other] { $count } no entendidas
    }
count-doubled = { $count ->
        [one] { $count } doble o tardía
       *[other] { $count } dobles o tardías
    }
count-restarts = { $count ->
        [one] { $count } reinicio del puente
       *[other] { $count } reinicios del puente
    }
count-disconnects = { $count ->
        [one] { $count } pérdida del puerto
       *[other] { $count } pérdidas del puerto
    }
sensor-speed = sensor de velocidad
sensor-turn-rate = sensor de giro
sensor-battery = voltaje de batería
sensor-current = sensor de corriente del motor { $motor }
sensor-rotation = sensor de rotación del cepillo { $motor }
sensor-degrees = { $number } grados/s
sensor-turns = { $number } r/min
data-task-sensor = Revise, con su cable: { $sensor }; ver Datos.
data-task-offset =
    Revise el sensor de corriente del motor { $motor }: con cepillos apagados marca { $current }
    A.
data-stuck =
    Fijo en { $value } durante { $time } ({ $at }): { $sensor }. Puede estar trabado; lo que
    dependa de él en ese tiempo no es de fiar.
data-impossible =
    Imposible para esta máquina, durante { $time } ({ $at }), a lo más { $value }: { $sensor }.
    Se toma como no observado.
count-stays = { $count ->
        [one] { $count } parada
       *[other] { $count } paradas
    }
data-offset =
    El sensor de corriente del motor { $motor } marca { $current } A con cepillos apagados ({
    $stays }); réstelo de sus lecturas.
data-offset-drifting =
    El sensor de corriente del motor { $motor } marca { $current } A con cepillos apagados, con
    deriva de { $drift } A o más ({ $stays }); réstelo de sus lecturas.
data-offset-high = Su carga, energía de fricción y desgaste salen { $share } de más.
data-offset-low = Su carga, energía de fricción y desgaste salen { $share } de menos.
data-lost = perdidos
data-none-lost = sin pérdida
data-problem = Problema
data-method =
    Calculado con las lecturas propias de la máquina entre { $date }, { $begin } y { $end }.
    Tiempo de cepillo es tiempo observado con un cepillo girando; por debajo de la banda cuenta
    también estar parado. { $speed } Sección y paso son los de la última marca.
## Resumen de una semana o un mes

range-heading = Resumen, { $from } a { $to }
range-data =
    { $known } de { $all } noches de máquina tienen datos. Las demás son líneas inclinadas en los
    gráficos y no cuentan en ninguna suma: no se sabe nada de ellas.
range-between =
    Una noche va del comienzo de un turno al del siguiente, así que aquí cuenta el trabajo entre
    turnos; la hoja de un turno no lo cuenta.
range-sums = Sumas
range-machine = Máquina
range-together = En total
range-weeks = Semana por semana
range-week = Semana, todas las máquinas
range-nights = Noches con datos
range-brush = Cepillo girando
range-in-band = Tiempo en banda
range-swept = Área barrida
range-events = Giró parada
range-standing = Tiempo girando parada
range-forbidden = En piso prohibido
range-nightly = Noche por noche, { $machine }
range-length = Segmento más corto medido
range-left = { $machine }: quedan { $best } de abrasivo al final, de { $low } a { $high } al 80 %.
range-left-not-known = { $machine }: no se sabe cuánto abrasivo queda. Mídalo y anótelo en el libro de turnos.
range-floor = Piso
range-restored = Piso restaurado: { $before } { $unit } antes, { $after } { $unit } al final, de { $all } { $unit }.
range-forbidden-work = Los cepillos giraron { $time } sobre pisos que nunca se pulen: revise esos pisos.
range-none-finished = No se terminó ningún paso de grano.
range-finished = Pasos terminados
range-night = Noche
range-section = Sección
range-step = Paso
range-by-hand = según el libro de turnos
range-segments = Segmentos
range-people = Por persona
range-person = Persona
range-people-note =
    Noches de las máquinas en las que el libro de turnos tiene a cada persona, enteras para cada
    una. Dicen cómo estaban esa noche la máquina, el piso y el plan, no solo cómo trabajó una persona.

## Pages for technicians
heading-trace = Antes y después
trace-time = Tiempo en s desde el comienzo a las { $at }.
trace-legend =
    Gris: el evento. Líneas inclinadas: sin lecturas. Rayas: límites vigentes. Cada punto guarda la
    lectura menor y la mayor. Detector: barra baja mientras se cumple su condición, llena
    durante el evento.
text-trace = #: el evento. /: sin lecturas. Bloques: lectura mayor.
trace-current = Motor { $motor }, A
trace-battery = Batería, V
trace-command = Mando cepillo
trace-head-down = Cabezal abajo
trace-over-pressure = presión excesiva { $current } A
trace-stall = bloqueo { $current } A
trace-rotation = Cepillo { $motor }, r/min
trace-heat = Calor { $motor }, %
trace-pressure = Presión, %
trace-water = Agua, %
trace-vacuum = Aspiración
trace-detector = Detector
trace-standing = parada bajo { $speed } { $unit }
trace-heat-limit = límite 100 %
trace-heat-warning = aviso { $percent } %
trace-battery-empty = vacía con carga { $voltage } V
technician-cause = Causa probable
technician-checks = Revise en este orden, según el manual de la máquina:
evidence-lasted = durante { $time } s
evidence-rise = de lo normal al límite en { $time } s
evidence-switch-on = mando del cepillo encendido
evidence-switch-off = mando del cepillo apagado
evidence-head-down = cabezal abajo
evidence-head-up = cabezal arriba
column-cause = Causa
column-likely = ¿Probable?
column-for = A favor
column-against = En contra
likely-yes = probable
likely-maybe = posible
likely-no = improbable
technician-title = Evento { $id }
event-heading = Evento en la noche del { $date }
technician-what = { $what } desde { $at } durante { $time } s: { $section }.
technician-note = Según reglas de la práctica común: ordenan qué mirar primero y no prueban nada.
heading-safety = Antes de acercar las manos al cabezal
safety-key = 1. Pare en piso nivelado; cepillos apagados; llave cerrada y fuera.
safety-battery = 2. Desconecte la batería como dice el manual de la máquina.
safety-wait = 3. Espere a que todos los cepillos paren; los motores pueden estar calientes.
safety-gloves = 4. Guantes y protección de ojos: los segmentos y el alambre enrollado cortan.
safety-slurry = 5. Mantenga el lodo húmedo y lejos de piel y ojos.
safety-manual = Deciden el manual de la máquina, las normas locales y los profesionales autorizados; lo eléctrico es para quien tiene licencia.
kind-vacuum = Aspiración apagada
kind-water = Poca agua
kind-pressure = Presión no completa
kind-head = Cepillos girando, cabezal arriba
kind-forbidden = Piso prohibido
kind-battery-low = Batería baja
kind-battery-deep = Batería demasiado descargada
kind-slip = La rueda patinó
kind-sensor = Sensor dudoso
kind-gap = Sin lecturas
cause-standing = El cepillo quedó encendido con la máquina parada.
cause-obstacle = Algo detuvo el cepillo de golpe: una junta, un perno, un borde o un cable.
cause-wound = Roce en un cepillo: cuerda enrollada, segmento trabado, un rodamiento.
cause-pressed = El cabezal aprieta demasiado: el ajuste o un cabezal gastado.
cause-floor = El piso de allí: áspero, pegajoso o desigual.
cause-motor = Este mismo motor: escobillas, rodamiento o engranaje.
cause-held-start = Arranque contra un cepillo retenido.
cause-low-battery = La batería estaba demasiado baja para el cepillo.
cause-dry = El piso estaba seco: no llegaba agua a los cepillos.
cause-new-segments = Segmentos nuevos o grano equivocado.
cause-uneven-deck = El cabezal no está nivelado.
cause-trip = Un disyuntor o el control quitó la corriente al motor con carga.
cause-wiring = Un enchufe o cable perdió contacto.
cause-hot = El motor tomó más corriente durante más tiempo del que puede enfriarse.
cause-low-setting = La presión estaba ajustada baja.
cause-worn = Segmentos gastados o perdidos, o el cepillo mal asentado.
cause-blocked = Algo detuvo o retuvo la máquina.
cause-speed-sensor = El sensor de velocidad está muerto: la máquina se movía.
cause-brush-switch = El mando del cepillo o su relé quedó pegado.
cause-head-up = El cabezal estaba en realidad arriba.
cause-not-full = No estaba cargada del todo al empezar.
cause-battery-weak = La batería se ha debilitado o hay un enchufe flojo.
cause-heavy-work = El trabajo pidió más de lo usual.
cause-crossing = La máquina lo cruzó con los cepillos en marcha.
cause-wrong-mark = La marca era falsa: el trabajo era en otro sitio.
cause-switched = Se apagó o se bajó durante el trabajo.
cause-forgotten = Se olvidó al empezar el trabajo.
cause-switch-signal = La señal del interruptor es falsa.
cause-slip = Una rueda patinó en piso mojado o lodo.
cause-sensor = El sensor o su cable.
cause-gap = El puente, su cable o su corriente.
evidence-moving = { $speed } { $unit } antes
evidence-moving-after = { $speed } { $unit } después
evidence-other = el otro motor a { $ratio } x su corriente de antes
evidence-after = motor { $motor } después a { $ratio } x su corriente de antes
evidence-places = { $here } eventos así en esta zona, { $elsewhere } en otras esta noche
evidence-baseline = motor { $motor } a { $ratio } x su propia normal esta noche ({ $nights } noches)
evidence-voltage = { $voltage } V antes, vacía bajo { $limit } V
evidence-started = encendido { $time } s antes
evidence-ran = siempre encendido antes
evidence-pressure = presión { $before } % antes, { $now } % en él
evidence-water = agua al { $percent } %
evidence-fitted = segmentos montados { $nights } noches antes
evidence-before = { $current } A antes
evidence-peak-ratio = máximo { $ratio } x la corriente de antes
evidence-stopped = de la marcha a parada en { $time } s
evidence-doubt = lo que dice el sensor de velocidad entonces
evidence-head-unknown = la posición del cabezal no se registra
evidence-not-full = { $voltage } V en reposo al empezar
evidence-weak = mucho menos tiempo de cepillo por carga de lo usual
evidence-not-weak = tiempo de cepillo por carga como siempre
evidence-changed = el ajuste cambió en los 30 s anteriores
evidence-unchanged = el ajuste era igual 30 s antes
inspect-marks = Compare las marcas de esa hora con el lugar de la máquina.
inspect-water = Vea que llegue agua a ambos cepillos: tanque, filtro, válvula, manguera.
inspect-switches = Accione cada mando y vea que panel y registro digan lo mismo.
inspect-battery = Mida la batería en reposo; mire cargador, enchufes y agua según su manual.
inspect-link = Mire luces, enchufe y corriente del puente.
inspect-speed-sensor = Ruede la máquina un metro, cepillos apagados: la velocidad debe seguir.
inspect-why-it-stood = Pregunte al operador por qué la máquina estaba parada con los cepillos en marcha.
inspect-spot-in-low-light = Mire el punto de lado con luz rasante: busque un anillo o un hoyo.
inspect-brush-switch = Vea que los cepillos paren con la máquina, como dice el manual.
inspect-floor-there = Mire allí el piso: una junta, un perno, un borde o un cable.
inspect-brush-by-hand = Gire el cepillo a mano: va libre y no tiene nada enrollado.
inspect-motor = Haga revisar motor, correa o engranaje si no gira libre.
inspect-down-pressure = Compare la presión con lo que dicen el manual y el plan.
inspect-deck-level = Vea que el cabezal esté nivelado y se mueva libre.
inspect-segments = Busque segmentos sueltos, desiguales o vidriados.
inspect-before-reset = Busque la causa antes de rearmar un disyuntor.
inspect-wiring = Busque cables rozados y enchufes flojos u oscuros.
inspect-air-and-heat = Deje enfriar el motor y despeje su paso de aire.
cause-bearing = El motor o el engranaje gira duro por dentro: un rodamiento, o algo en el eje.
cause-wrong-tool = Hay otra herramienta u otro grano que los de este paso.
evidence-baseline-file = motor { $motor } a { $ratio } x lo que espera el archivo de la máquina, esta noche
evidence-run-down = en el aire el cepillo { $motor } baja a la mitad en { $time } s, normal { $usual } s ({ $nights } noches)
evidence-no-load = en el aire el motor { $motor } toma { $current } A, normal { $usual } A ({ $nights } noches)
evidence-tool = todos los motores esta noche entre { $low } y { $high } x lo que tomó este paso ({ $nights } noches)
evidence-drive = corriente de marcha { $before } A antes, { $now } A en él
evidence-heat = motor { $motor } al { $percent } % de su límite térmico
evidence-ways = este motor a { $own } x, el otro a { $other } x su corriente de antes
inspect-tool = Compare herramienta y grano de cada cepillo con el plan y el libro de turno.
inspect-drive-wheels = Mire ruedas motrices y labio de secado: lodo, desgaste, algo que retiene.
inspect-in-the-air = Cabezal arriba según el manual, manos lejos: haga girar cada cepillo un momento, escuche y mire cómo se para.
trace-normal = Juzgado por lo que el motor { $motor } toma en trabajo normal, { $current } A en toda la noche: { $from }.

# Segments to order, of several machines.
heading-orders = Segmentos por pedir
orders-by = Pedir hasta
orders-machine = Máquina
orders-grit = Grano
orders-brushes = Cepillos
orders-left = Queda
orders-note = Estimaciones: mida antes de pedir. Un juego desmontado no se desgasta y no figura aquí.

# La página de los cambios lentos.
trend-heading = Cambios lentos, { $from } a { $to }
trend-machine = { $machine }: { $nights ->
        [one] { $nights } noche
       *[other] { $nights } noches
    }
trend-nothing = En estas noches no se vio ninguna señal.
trend-note = Los puntos son noches, la línea gruesa es por lo que se juzga la señal, el corchete en su extremo su intervalo del 95 % (Theil-Sen), una línea vertical de trazos un salto. Los límites son los del archivo de la máquina; causas y comprobaciones son práctica común, sin fuente publicada.
trend-no-load = Corriente en el aire, motor { $motor }
trend-run-down = Parada hasta la mitad, cepillo { $motor }
trend-winding = Bobinado y cables, motor { $motor }
trend-battery = Batería y cables
trend-drive-slow = Corriente de marcha, lenta
trend-drive-fast = Corriente de marcha, rápida
trend-way = Recorrido del mismo mantenimiento
trend-limit = se avisa desde { $value }
trend-too-few = { $name }: muy pocas noches, { $values } de { $needed }.
trend-steady = { $name }: estable.
trend-drifted = { $name } cambió { $change }; se avisa desde { $limit }.
trend-coming = { $name } cambió { $change } y llega a su límite de { $limit } hacia el { $date }.
trend-stepped = { $name } saltó el { $date } de { $from } a { $to }, { $change }; se avisa desde { $limit }.
trend-line = { $values } noches de { $from } a { $to }: { $first } a { $last }, { $change } (intervalo del 95 % { $low } a { $high }).
trend-better = Mejor desde el { $date }, de { $from } a { $to }: solo se juzga lo que siguió.
trend-may-be = Puede ser: { $what }.
trend-may-heavy = el motor o el engranaje gira duro: toma más en el aire y se para antes; un rodamiento, el aceite del engranaje o algo enrollado en el eje
trend-may-air = el motor o el engranaje gira más duro en el aire; quizá el cabezal tampoco se despega del piso
trend-may-stops = el cepillo se para antes sin corriente: rodamiento o engranaje duro, o algo roza
trend-may-winding = el circuito del motor tiene más resistencia: escobillas cortas o trabadas, colector sucio, un enchufe o cable que se calienta
trend-may-battery = la batería cae más con la misma carga: celdas viejas o secas, un borne flojo o corroído
trend-may-drive = la marcha toma más: labio de secado muy apretado o gastado, un freno que roza, ruedas sin aire o enredadas, o el motor de aspiración
trend-may-longer = el mismo mantenimiento cuenta como un recorrido más largo: una rueda gastada gira más veces, o la zona se recorre de otro modo
trend-may-shorter = el mismo mantenimiento cuenta como un recorrido más corto: se pierden pulsos del sensor de velocidad, o la zona se recorre de otro modo
trend-check-wound = cuerda, fleje o alambre en el eje del cepillo
trend-check-turn-play = gire el cepillo a mano: áspero, duro o con juego
trend-check-turn = gire el cepillo a mano: áspero o duro
trend-check-oil = aceite del engranaje, fugas y calor después del turno
trend-check-bearing = ruido del rodamiento; hágalo cambiar antes de que se agarre
trend-check-clears = el cepillo queda libre del piso con el cabezal arriba
trend-check-clamp = el sensor de corriente contra una pinza amperimétrica
trend-check-skirt = faldón o guarda que roza el cepillo
trend-check-plugs = enchufes y cables de este motor: manchados, flojos, tibios después del trabajo
trend-check-carbon = largo y resorte de sus escobillas
trend-check-commutator = colector: oscuro, rayado, con polvo
trend-check-terminals = bornes y terminales: limpios, apretados, no tibios después del trabajo
trend-check-water = nivel de agua de las celdas húmedas, con protección de ojos y aire fresco
trend-check-charged = carga completa cada noche; la luz del propio cargador
trend-check-cells = voltaje de cada celda o bloque con carga
trend-check-squeegee = labio de secado, su altura y su inclinación
trend-check-wheels = algo enrollado en una rueda; presión si lleva aire
trend-check-brake = el freno de estacionamiento suelta del todo
trend-check-hose = manguera y filtro de aspiración: tapados cambian la corriente del motor
trend-check-sensor-wheel = desgaste y deslizamiento de la rueda donde está el sensor de velocidad
trend-check-distance = recorra una distancia medida y ajuste `speed.wheel_factor` con ella
trend-check-same-way = si la zona aún se recorre igual y sus marcas también

# Cambios lentos como texto para terminales.
trend-column-sign = señal
trend-column-nights = noches
trend-column-first = al inicio
trend-column-last = al final
trend-column-change = cambio (95 %)
trend-column-so = resultado
trend-change = { $change } ({ $low } a { $high })
trend-short-few = muy pocas noches
trend-short-steady = estable
trend-short-better = estable, mejor desde el { $date }
trend-short-drifted = REVISAR: deriva
trend-short-coming = REVISAR: en su límite hacia el { $date }
trend-short-stepped = REVISAR: saltó el { $date }

## Lecturas en la terminal (`browse`)

# Nombres de filas: 18 letras como máximo; más no caben en la terminal más pequeña.
screen-standing = Giró parada
screen-near-stall = Casi bloqueado
screen-trip = Sin corriente
screen-dry = ¿Marcha en seco?
screen-pressure = Sin presión máxima
screen-head = Giró en el aire
screen-events-reading = Eventos (leyendo)
# A la izquierda de una fila, con el valor detrás; 13 letras como máximo.
screen-limit-standing = parada
screen-limit-over = exceso
screen-limit-stall = bloqueo
screen-limit-heat = límite
screen-limit-warning = aviso
screen-limit-empty = vacía
# A la derecha de una fila; 9 letras como máximo, sí y no juntos 7.
screen-on = sí
screen-off = no
screen-event = evento
screen-near = cerca
screen-quiet = reposo
# Qué tan grave es un evento.
screen-severe = grave
screen-inspect = revisar
screen-slight = leve
screen-note = nota
screen-motor = motor { $motor }
screen-more = { $count } más
screen-nothing-recorded = en esta noche no se registró nada
screen-no-event-after = no hay ningún evento después
screen-no-event-before = no hay ningún evento antes
screen-events-awaited = aún se están leyendo los eventos
screen-how-to-go = { $typed }: escriba una hora como 1:23:45 o un evento
screen-not-this-night = { $typed } no está en esta noche: escriba la fecha
screen-too-small = al menos { $columns } x { $rows } letras, por favor
screen-asked = ir a: { $typed }
screen-asked-hint = (1:23:45, fecha y hora, o un evento)
# La línea de teclas: toda ella 60 letras como máximo, con sus signos.
screen-move = mover
screen-zoom = zoom
screen-next = evento
screen-go = ir a
screen-help = ayuda
screen-leave = salir
screen-more-lanes = { $count ->
        [one] 1 fila más
       *[other] { $count } filas más
    }
screen-reading = leyendo la noche
# La página de teclas: teclas 16 letras como máximo, lo que hacen 41.
screen-keys-pages = RePág AvPág esp.
screen-keys-ends = Inicio Fin
screen-keys-leave = q  Ctrl-C
screen-help-move = cursor una columna; la vista lo sigue
screen-help-pages = una página atrás, adelante
screen-help-ends = comienzo, fin de la noche
screen-help-zoom = acercar, alejar, la noche entera
screen-help-next = evento siguiente, anterior
screen-help-go = a una hora, fecha y hora, o un evento
screen-help-nights = la noche anterior, siguiente
screen-help-lanes = otras filas, donde no caben todas
screen-help-leave = salir
screen-help-curve = de la menor a la mayor; sin lecturas
screen-help-limit = un límite vigente, aquí 75
screen-help-switch = mando: sí, ambos, no
screen-help-detector = detector en evento, cerca, en reposo
screen-help-events = evento: grave, revisar, leve, nota
