# The words of the sheet in English, in the syntax of Project Fluent.
#
# Ids begin with the part of the sheet that uses them. Line breaks inside a
# message count as spaces. Signal words: ANSI Z535.4-2007, 4.14. Cautions defer
# to the machine's manual and local rules in every language.

## Numbers and dates

not-known = not known
figure-under = under { $value }
figure-over = over { $value }
unit-speed-us = mph
unit-speed-si = m/s
unit-area-us = sq ft
unit-area-si = m²
unit-length-us = in
unit-length-si = mm
unit-distance-us = mi
unit-distance-si = km

date-long = { $weekday } { $day } { $month } { $year }
date-day = { $day } { $month }
date-day-year = { $day } { $month } { $year }
date-mon = Mon
date-tue = Tue
date-wed = Wed
date-thu = Thu
date-fri = Fri
date-sat = Sat
date-sun = Sun
date-jan = Jan
date-feb = Feb
date-mar = Mar
date-apr = Apr
date-may = May
date-jun = Jun
date-jul = Jul
date-aug = Aug
date-sep = Sep
date-oct = Oct
date-nov = Nov
date-dec = Dec

## Signal words

signal-warning = WARNING
signal-notice = NOTICE

## Layout and text for terminals

layout-page = Page { $number } of { $count }
layout-continued = { $heading }, continued
layout-something-to-do = something to do
layout-nothing-to-draw = No brush time was observed: there is nothing to draw.
layout-band = band { $band }
layout-faster = faster
layout-brush-on = Brush on
layout-events = Events
layout-sign-standing = brush turned while standing
layout-sign-stall = motor stalled
layout-sign-pressure = over pressure
layout-sign-other = other
layout-numbers = Numbers: see Events.
layout-numbers-and-current = Numbers: see Events. Current: highest motor.
text-speed = Speed
text-current = Current
text-events = Events
text-time = Time
text-ribbon =
    Mean speed, largest current; a full block is { $speed } at { $fastest }, { $current } at
    { $strongest }. / no readings, which is not zero. v brush turned while standing, S motor
    stalled, o over pressure.
text-ribbon-other =
    Mean speed, largest current; a full block is { $speed } at { $fastest }, { $current } at
    { $strongest }. / no readings, which is not zero. v brush turned while standing, S motor
    stalled, o over pressure, + other.
text-bars = { $label }; minutes. # in a band, = outside
text-up = up

## Frame of the sheet

sheet-title = Shift sheet, { $machine }, { $date }
sheet-heading = Shift sheet, { $date }
sheet-subject = Work of a floor machine at { $site }
sheet-of-no-machine = Shift sheet of no machine
sheet-hours = { $begin-date } { $begin } to { $end-date } { $end }
sheet-clocks-change = { $length }: clocks change in this shift from { $from } to { $to }
sheet-unprintable =
    Some names or messages hold letters that this sheet's typeface does not have, or hidden
    characters; each is printed as { $sign }.
sheet-unprintable-foot = { $foot }; { $sign } is a letter that cannot be printed here
heading-glance = At a glance
heading-speeds = Time at each speed, brushes turning
heading-ribbon = The shift over time
heading-events = Events
heading-sections = Sections
heading-motors = Brush motors
heading-segments = Segments
heading-data = Data
heading-nothing-recorded = Nothing was recorded in this shift
heading-what-to-check = What to check
heading-problems = Found wrong with the data
heading-remarks = Noted in the shift book
nothing-recorded =
    No log of this machine covers these hours. What was done on the floor is not known: this
    page does not say that no work was done.

## On every sheet

heading-checks = Checks by hand
heading-cautions = Cautions
check-segment = Weekly: shortest segment ________ { $unit }, noted
check-brushes = Brushes turn freely; no segment loose or missing
check-water = Water runs to every brush; tanks and filters clean
check-vacuum = Vacuum and squeegee leave no streaks
check-battery = Battery charged; plugs and cables whole
check-grit = Right grit fitted for the next step, noted
check-recorder = Recorder's light on, bridge plugged in
caution-before-hands =
    Before hands go near the brushes: stop the machine, take the key out, disconnect the
    battery.
caution-wet = Wet floor is slippery: close it off until it is dry.
caution-slurry = Slurry may hold silica: keep it wet, do not dry-sweep.
caution-battery = Battery charging: ventilate; no flames, no sparks.
caution-manual =
    The machine's manual, local rules and licensed practice come before this sheet.
sign-operator = Operator
sign-lead = Lead
sign-date = Date and time
missing-used = Was the machine used? If not, nothing is wrong.
missing-power = Is the recorder on the machine powered, and is its light on?
missing-bridge = Is the bridge plugged in, and do its cables sit tight?
missing-copied = Were the logs copied from this machine, and into the folder that was read?
missing-settings = Do the machine's id and the recorder's clock agree with the settings?

## The lead's questions

ask-speed = Right speed, and for how long?
ask-standing = Brush turned while standing?
ask-area = How much area, what passes?
ask-motor = Motor stalled or over pressure?
ask-steps = Which step done, what next?
ask-blade = How much blade is left?
ask-data = How complete are the data?

## Charts

chart-not-recorded = not recorded
chart-no-readings = no readings
chart-speed = Speed, { $unit }
chart-current = Current, A
chart-minutes = Minutes
chart-shades = Dark: in a band. Light: outside.
chart-ribbon-legend =
    Line: mean over { $time }, thick outside of the band; dashed: band; grey: lowest to highest;
    slanted: no readings.
chart-too-slow = too slow
chart-in-band = in band
chart-too-fast = too fast
chart-no-band = no band
chart-band = Band
chart-slow = Slow
chart-in = In band
chart-fast = Fast
chart-all = All
heading-bars = Brush time by speed
heading-wrong = Wrong with the data

## Heads of columns in several tables

column-work = Work

## Names of places, work and motors

place-nobody-marked = a section nobody marked
place-unknown-section = section number { $number } (not in the site file)
place-not-marked = not marked
place-step = step { $number }
place-step-and-grit = step { $number } (grit { $grit })
place-daily = daily run
place-work-step = Step { $number }
place-work-daily = Daily run
place-work-not-marked = Not marked
place-work-and-grit = { $work }, grit { $grit }
place-motor-left = 1 (left)
place-motor-right = { $number } (right)
