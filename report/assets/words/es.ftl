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
sheet-hours = { $begin-date }, { $begin } a { $end-date }, { $end }
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
chart-speed = Velocidad, { $unit }
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
chart-slow = Lento
chart-in = En banda
chart-fast = Rápido
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
