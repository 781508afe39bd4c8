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
sheet-hours = { $first } { $begin } to { $last } { $end }
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
chart-slow = Below
chart-in = In
chart-fast = Above
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

## Counts

count-times = { $count ->
        [one] { $count } time
       *[other] { $count } times
    }
count-sections = { $count ->
        [one] { $count } section
       *[other] { $count } sections
    }

## The table of sections

column-section = Section
column-from-to = From–to
column-swept = Swept
sections-none = No brush work was seen on any section.
sections-brush-on = Brush on
sections-speed = Speed
sections-passes = Passes
sections-what-next = What next
sections-forbidden = Never to be polished: inspect the floor.
sections-done = Done.
sections-done-next = Done; step { $step } next.
sections-done-last = Done: the last step.
sections-too-early = Too early: step { $step } first, { $time } more in band.
sections-not-done = Not done: { $time } more in band.
sections-no-section = Not known: no section marked.
sections-no-step = Not known: no step marked.
sections-stood = Stood { $times }.
sections-all =
    All together { $area } { $unit } swept, { $rate } { $unit } an hour of brush time; way
    driven { $way }. Swept area is brush path width x way, so floor swept again counts again,
    also in passes: swept area by the section's area.
sections-overlap-measured =
    By the path, { $share } of it was floor swept before in the same visit: { $net } { $unit }
    net.
sections-overlap-assumed =
    The path is not known for most of the way: with { $share } overlap of neighbouring lanes
    (assumed, not measured) { $net } { $unit } net.
sections-note-step =
    A step is done when its minutes in band are reached, those of earlier nights and of all
    machines together.
sections-note-speed = Speed is the mean while brushes turn.
sections-note-stood = Stood: with brushes turning, see Events.
sections-note-book = by the shift book, not marked at the machine.
sections-note-assumed = † assumed: nobody told where the machine was; the work was matched
    with the plan of the night, and this sure it is.
sections-correct-assumed = To correct one, write its begin into the shift book, as: { $lines
    }
sections-note-unknown =
    not known: without a mark there is no band and no area to go by, without brush time no mean
    speed.

## More counts

count-shifts = { $count ->
        [one] { $count } shift
       *[other] { $count } shifts
    }
count-measurements = { $count ->
        [one] { $count } measurement
       *[other] { $count } measurements
    }
count-days = { $count ->
        [one] { $count } day
       *[other] { $count } days
    }
count-places = { $count ->
        [one] { $count } place
       *[other] { $count } places
    }

## Segments

segments-grit = Fitted grit
segments-grit-on = { $value }, on { $date }
segments-length-on = { $value } on { $date }
segments-measured = Last measured, shortest
segments-left = Left at end of shift, estimate
segments-order-length = Order length
segments-order-reached = Order length reached, estimate
segments-order-by = Last day to order, estimate
segments-used-up = Used up, estimate
segments-rate = Wear rate
segments-energy = Friction energy per brush, shift
segments-energy-measured = Same, since measured
segments-energy-fitted = Same, since fitted
segments-energy-reach = Same, as far as logs reach
segments-energy-and-shifts = { $energy }, { $shifts } with brush work
segments-interval = { $best }, 80 % interval { $low } to { $high }
segments-beyond = beyond two years
segments-rate-unit-us = thousandths of an inch per MJ
segments-rate-unit-si = mm per MJ
segments-rate-from-file = the machine file's, nothing measured since the logs begin
segments-rate-measured = from { $measurements }
segments-column-brush = Brush
segments-column-measured = Last measured
segments-column-left = Left, 80 % interval
segments-column-order = Order length reached
segments-column-energy = Energy since fitted
segments-left-range = { $best }, { $low } to { $high }
segments-order-notice = Order new segments (estimate); measure them before you decide.
segments-method-by-file = is the machine file's until lengths are measured in the time of the logs
segments-method-fitted = begins with the machine file's and is fitted to your measurements
segments-method =
    Method: length lost = wear rate x friction energy of the brush (from motor current). The
    rate { $rate } (reading error { $error }). Days ahead are taken to be like the days in the
    logs. 80 % interval: 1 chance in 10 to be below it, 1 in 10 above; it holds the uncertainty
    of rate, lengths and daily use. Last day to order: the early end of the interval less {
    $days } for delivery. An estimate: what you measure always wins.

## Checks that come round

heading-consumables = Checks of machine and consumables
consumables-due = { $name }: due, last done on { $date }.
consumables-never = { $name }: due, not in the shift book yet.
consumables-bad = { $name }: found bad on { $date }, not noted as put right.
consumables-done = { $name }: done.
consumables-later = { $name }: next on { $date }.

## Remarks on wear

wear-of-shortest = the shortest segment
wear-of-brush = brush { $brush }
wear-no-day = No day is given until that is cleared up: measure again.
wear-left-out = It was left out.
wear-rate-differs =
    The wear rate measured on { $whose }, { $found } { $unit }, is far from the machine file's {
    $given }: if grit and floor are the usual ones, write the measured rate into
    blade.wear_rate.
wear-scatter =
    The lengths measured on { $whose } scatter by { $deviation }, more than the machine file's
    measuring error of { $error }, and the intervals are wider for it: measure the same segments
    the same way each time.
wear-longer-than-new =
    The length of { $whose } measured on { $date }, { $length }, is longer than a new segment:
    correct it in the shift book, or blade.new_length in the machine file.
wear-grew =
    The length of { $whose } measured on { $date }, { $length }, is longer than the { $from } of
    { $since }, though no tool was fitted between: note the new tool in the shift book, or
    correct the number.
wear-too-short =
    The length of { $whose } measured on { $date }, { $length }, is far shorter than the {
    $expected } that the friction energy explains: was another brush or another grit measured,
    does the brush sit right, are segments broken?
wear-too-long =
    The length of { $whose } measured on { $date }, { $length }, is far longer than the {
    $expected } that the friction energy explains: was another brush measured, or a tool fitted
    that is not in the shift book?
wear-uneven-by-motor =
    Its motor also did { $more } more friction work: check that the deck is level and presses
    both sides alike.
wear-uneven-not-by-motor =
    The motors do not explain it: check that all segments are of one kind and sit firmly, and
    that the same spots are measured.
wear-uneven-cause = Check that the deck is level and that all segments are of one kind.
wear-uneven =
    Uneven wear, measured on { $date }: brush { $first } has { $short }, brush { $second } has {
    $long }. { $cause } Follow the machine's manual.
wear-quadrants =
    Worn unevenly, measured on { $date }: { $short } to { $long } on brush { $brush }. Check that
    the deck is level and that the segments sit firmly. Follow the machine's manual.
wear-seating =
    Brush looks fitted wrongly: the length of { $whose } measured on { $date }, { $length }, is
    far shorter than the { $expected } expected since it was fitted on { $fitted }. Check seating
    and segments before the next run. Follow the machine's manual.
wear-seating-uneven =
    Brush { $brush } looks fitted wrongly: measured on { $date }, { $short } to { $long } so soon
    after it was fitted on { $fitted }. Check seating and that the deck is level before the next
    run. Follow the machine's manual.
wear-nothing-noted =
    No tool and no length is noted: give a shift book (--book) with the day the tool was fitted
    and the lengths measured.
wear-not-logged =
    There are no logs since the last known length of { $since }: measure the segments and note
    it in the shift book.
wear-logged-late =
    The logs begin on { $date }, too long after the last known length of { $since }: measure the
    segments and note it in the shift book.
wear-filled-up =
    The logs begin on { $date }, the last length before is of { $since }: for the days between,
    the mean day was assumed. Measure the segments to be sure.
wear-no-work = No brush work was seen since { $since }: no day can be told.
wear-far-away = More than two years to the order length at this use.
wear-used-up =
    The bonded abrasive is used up by this estimate: measure before the next run, and fit new
    segments as the machine's manual says.
wear-never-measured =
    Never measured since it was fitted on { $date }: the length of that day is assumed.
wear-brush-never-measured =
    Brush { $brush } was never measured since it was fitted on { $date }: measure each brush.
wear-measure-due = Last measured on { $date }: measure the segments today.
wear-damaged =
    Logs since the tool was fitted are damaged in { $places } (underbrush verify lists them):
    less may be left than shown.
wear-little-seen =
    Only { $share } of the recorded time since the tool was fitted was observed, too little to
    judge well: less may be left than shown. Check the cable of the bridge.
wear-future =
    { $count ->
        [one] { $count } entry
       *[other] { $count } entries
    } of the shift book lie after the last log, the first on { $date }, and were
    left out: check their dates.
wear-which-brush =
    The length measured on { $date } does not say which brush: taken as brush { $brush }'s,
    which has worked most. Note the length of each brush.
wear-no-such-brush =
    The lengths measured on { $date } are of more brushes than the { $brushes } of the machine
    file: correct one of the two.
wear-not-apart = The brush motors are not recorded apart: each brush is taken to do the same work.
wear-several-tools =
    More than one tool was fitted on { $date }: the whole night counts for the last one.

## A sheet made again

issue-short = issue { $number }
issue-replaces = Issue { $number }, in place of issue { $before }: more logs of this night came
    in after that one was made.

## Steps

steps-before = step { $step } needs { $time } more in band before step { $ahead }
steps-go-on = go on with step { $step }: { $time } more in band
steps-was-last = it was the last step
steps-step-done = step { $step } done
steps-short-partly = step { $done } done, step { $step } not
steps-short-open = step { $step } not done
steps-short-next = step { $done } done, step { $next } next
steps-short-all = all steps done
steps-begin = begin { $step }
steps-begin-for = begin { $step }, { $time } in band

## Answers

count-gaps = { $count ->
        [one] { $count } gap
       *[other] { $count } gaps
    }
count-bad-frames = { $count ->
        [one] { $count } frame lost or damaged
       *[other] { $count } frames lost or damaged
    }
count-problems = { $count ->
        [one] { $count } problem
       *[other] { $count } problems
    }
count-more = { $count } more
answer-too-little = Judged from { $share } of its time: too little.
answer-speed-words =
    Right speed: "yes" from { $yes } of the brush time in band, "mostly" from { $mostly } (our
    own choice).
answer-not-observed = Not known: speed and brush were not observed
answer-speed-no-mark = Not known: { $time } of brush work, none of it with a mark
answer-speed-no-brush = No brush turned in { $time } of observed time
answer-speed-yes = Yes: { $share } of { $time } brush time in the speed band
answer-speed-mostly = Mostly: { $share } of { $time } brush time in the speed band
answer-speed-no = No: { $share } of { $time } brush time in the speed band
answer-speed-detail = Too slow { $slow }, too fast { $fast }.
answer-speed-other = Another { $time } had no mark, so no band.
answer-standing-none = None seen in { $time } of observed time
answer-standing = Yes: { $times }, { $total } in all
answer-standing-worst =
    Worst: { $time } in { $section } at { $at }, like { $passes } passes on one spot.
answer-standing-worst-cut =
    Worst: at least { $time } in { $section } at { $at }, like { $passes } passes on one spot.
answer-area = { $area } { $unit } swept in { $time } of brush time; overlap counts twice
answer-area-no-passes = Passes are not known: no section was marked.
answer-area-passes = Passes: { $parts }.
answer-motor-unknown = Not known: no brush motor current was recorded
answer-motor-none = Neither seen while brushes turned
answer-motor-largest = Largest current { $current } A.
answer-motor-stalled = stalled { $times }
answer-motor-no-stall = no stall
answer-motor-over = over pressure { $times }, { $total } in all
answer-motor-not-over = no over-pressure
answer-motor-peak = Peak { $current } A on motor { $motor } in { $section } at { $at }.
answer-steps-open = { $sections } not done
answer-steps-done = { $sections } with the step done
answer-steps-daily =
    daily run in { $count ->
        [one] { $count } section
       *[other] { $count } sections
    }
answer-steps-unknown = Not known: no step was marked
answer-blade-unknown = Not known
answer-blade-measure = Measure the segments and note the length in the shift book.
answer-blade-order-now = order new ones now
answer-blade-order-by = order by { $date }
answer-blade-order-unknown = day to order not known
answer-blade = About { $length } (estimate); { $order }
answer-blade-likely = Likely { $low } to { $high } (80 % interval).
answer-blade-reached = { $length } left about { $best } (likely { $early } to { $late }).
answer-data = { $observed } observed of { $recorded } recorded ({ $share })
answer-data-unknown = Not known: the time recorded is not known
answer-data-no-problem = no problem found
answer-data-no-other-problem = no other problem found
answer-data-lost = { $problems }, { $count } with data lost
answer-data-clock = clock right within { $time }

## What to do

actions-morning = To do this morning
actions-tonight = To do tonight
actions-nothing = Nothing was found that needs doing beyond the usual checks.
actions-more = And { $count } more: see the next pages.
actions-more-sections = And { $count } more: see Sections.
actions-forbidden =
    Brushes turned in { $section }, which must never be polished, at { $at }: inspect the floor.
actions-forbidden-more =
    Brushes turned where never to polish, { $count ->
        [one] { $count } time
       *[other] { $count } times
    } more: see Events.
actions-spot = Inspect { $section } ({ $at }, stood { $time }): { $remedy }.
actions-spot-cut = Inspect { $section } ({ $at }, stood at least { $time }): { $remedy }.
actions-spots-more =
    Inspect { $count ->
        [one] { $count } spot
       *[other] { $count } spots
    } more: see Events.
actions-order-short = Order new segments now (estimate: too short).
actions-order-now = Order new segments now, to have them in time (estimate).
actions-order-by = Order new segments by { $date } (estimate).
actions-measure = Measure the segments: no measurement is in the shift book.
actions-measure-due = Measure the segments: last measured on { $date }.
actions-plan =
    Plan: { $count ->
        [one] { $count } job
       *[other] { $count } jobs
    }, { $takes }; see Tonight.
actions-grind = { $section }: { $task }.
actions-not-planned = { $section }: { $task } (not in tonight's plan).
actions-mark = Mark section and step: { $time } had no mark.
actions-lost = Readings were lost ({ $problems }): see Data.

## Events

column-number = No.
column-at = At
column-lasted = Lasted
column-what = What
column-where = Where
column-what-to-do = What to do
note-cut-short = readings end there: it may have lasted longer.
events-how-bad = How bad
events-none = None in { $time } of observed time.
events-unknown = Not known: nothing was observed.
events-stood = Stood, brush turning
events-energy-unknown = energy not known
events-slight = slight: { $passes } passes, { $energy }
events-inspect = inspect: { $passes } passes, { $energy }
events-severe = severe: { $passes } passes, { $energy }
events-glance = glance at the spot
events-look = look for a ring
events-expect = expect a ring or dish
events-note =
    Passes: as much grinding on that spot as so many passes at the middle of the band. Slight:
    less than a quarter of the passes of one whole step; inspect: up to a whole step; severe:
    more. These limits are our own choice.

## Load of the brush motors

load-stall = Motor stalled
load-near-stall = Motor nearly stalled
load-trip = Motor lost its power
load-over-pressure = Over pressure
load-heavy = Heavy load
load-light = Light contact
load-uneven = Uneven load
load-dry = Dry running suspected
load-hot = Motor hot
load-of-normal = { $ratio } x normal
load-mean = mean { $current } A
load-bad = motor { $motor }, { $load }
load-bad-uneven = motor { $motor } draws most
load-bad-uneven-by = motor { $motor } draws most: { $ratio } to 1
load-bad-hot = motor { $motor }, { $share } of its limit
load-bad-trip = motor { $motor }, { $current } A before
load-bad-peak = motor { $motor }, peak { $current } A
load-bad-sudden = motor { $motor }, peak { $current } A, sudden
load-bad-slow = motor { $motor }, peak { $current } A, rose slowly
advice-stall = find what held the brush
advice-near-stall-drag = look for a rough or dry spot
advice-near-stall = look for a joint, bolt or edge there
advice-trip = find why before the breaker is reset
advice-pressure = check head pressure
advice-light-pressure = set down pressure to full
advice-light-head = check brush is on and head down
advice-light-all = check that the head presses
advice-light = check this brush: worn, glazed, seated
advice-uneven = check deck level and segments
advice-dry = check that water reaches the brushes
advice-hot = let it cool; check for drag
motors-unknown = Not known: no current of a brush motor was recorded.
motors-motor = Motor
motors-mean = Mean
motors-normal = Normal
motors-at-work = At work
motors-median = Median
motors-p95 = 95 % under
motors-largest = Largest
motors-times = times
motors-stalled = Stalled
motors-heat = Heat
motors-note-heat =
    Heat: highest share of what the motor stands for long, by its current alone (thermal
    replica, time constant { $time }); over 100 % is too hot.
motors-note-dry =
    Without water the motors drew { $share } % more than is normal with it ({ $time }).
motors-note-few = Currents were read in less than four fifths of the brush time.
motors-notice = High current wears motors and segments: check them by the machine's manual.
motors-warning-trip =
    A breaker that tripped has a cause. Disconnect the battery before you touch brushes or
    wires; reset it only as the machine's manual says.
motors-note-limits =
    While brushes turn. Over pressure: above { $pressure } A for longer than { $pressing }.
    Stall: { $stall } A or more for longer than { $stalling }, the brush hardly turning where
    its rotation is measured.
count-past-nights = { $count ->
        [one] { $count } past night
       *[other] { $count } past nights
    }
motors-normal-place = learned from { $nights } with this tool at the same place
motors-normal-phase = learned from { $nights } with this tool in the same kind of work
motors-normal-machine = learned from { $nights } of all kinds of work
motors-normal-file = as the machine file says
motors-normal-tonight =
    the median of this shift itself, as past nights are too few; what was wrong all night does
    not show
motors-note-normal =
    At work: mean while moving at full pressure with water. Normal for the same work: { $from }.
motors-note-normal-error =
    At work: mean while moving at full pressure with water. Normal for the same work: { $from },
    standard error { $error } A.
did-trip = Motor { $motor } lost its power in { $section } at { $at }
did-stall = Motor { $motor } stalled in { $section } at { $at }
did-hot = Motor { $motor } ran hot in { $section } at { $at }
did-over-pressure = Motor { $motor } ran over pressure in { $section } at { $at }
did-light = Motor { $motor } had light contact in { $section } at { $at }
did-uneven = Motor { $motor } drew more than the other in { $section } at { $at }
did-dry = Motor { $motor } may have run dry in { $section } at { $at }
did-heavy = Motor { $motor } ran heavy in { $section } at { $at }
did-near-stall = Motor { $motor } nearly stalled in { $section } at { $at }
did-more =
    and { $count ->
        [one] { $count } time
       *[other] { $count } times
    } more
## Programme

programme-heading = Programme
programme-title = Programme, { $site }, { $date }
programme-subject = Restoration of the floor of { $site }
programme-as-of = As of the night of { $date }
programme-summary = How far the floor is
programme-restored = Restored
programme-due = Due for a refresh
programme-in-work = In work
programme-waiting = Waiting
programme-never = Never to be polished
programme-of-all = { $area } of { $all } ({ $share })
programme-missing = Still to grind
programme-missing-value = { $time } in band
programme-rate = Restored in a night
programme-rate-value =
    { $mean } on average; the mean lies between { $low } and { $high } with 80 % confidence, by
    { $nights ->
        [one] { $nights } night
       *[other] { $nights } nights
    } since { $since }
programme-rate-first = { $mean } in the first night
programme-finish = All restored
programme-finish-done = Yes.
programme-finish-day = { $best }, if it goes on like this
programme-finish-range = About { $best }; 8 in 10 times between { $early } and { $late }
programme-finish-open = About { $best }; 1 in 10 times before { $early }, 1 in 10 times after more than two years
programme-finish-nothing = There is nothing to restore: no floor that may be polished, or no steps in the site file.
programme-finish-not-begun = Not known: no minute of restoration is recorded yet.
programme-finish-few =
    Not known: { $nights ->
        [one] { $nights } night
       *[other] { $nights } nights
    } so far, { $worked } with work that counted, are too few to say.
programme-finish-far = At this rate not within two years.
programme-note-model =
    The date takes the nights to come to be like those so far, idle nights included; it knows
    nothing of changes of crew or machines, or of daily runs that grow with the restored floor.
programme-note-days-off = Days without work, left out: { $days }.
programme-note-unseen =
    { $nights ->
        [one] { $nights } night
       *[other] { $nights } nights
    } without any record count as nights without work.
programme-note-not-marked =
    { $time } of brush time is on no section, because nobody marked it: it does not count here.
programme-tonight = Tonight, { $date }: proposed
programme-plan-empty = Nothing is due, or nothing fits.
programme-plan-note =
    A proposal by what is due and by what fits; who knows the floor knows better. Times begin with
    the shift, tool changes included.
programme-plan-change = Fit grit { $grit }.
programme-plan-item = { $at } { $section }: { $work }; { $reason }.
programme-plan-runs = { $at } { $work } of { $count } sections: { $sections }; { $reason }.
programme-plan-band = { $work }, { $time } in band
programme-plan-part = { $work }, { $time } of it in band
programme-why-missed = missed since { $since }
programme-why-not-known = due since { $since }, no record since then
programme-why-due = due
programme-why-go-on = go on
programme-why-next = next step
programme-why-refresh = refresh, due since { $since }
programme-why-begin = next in line
programme-why-book = planned in the shift book
programme-plan-takes = Takes { $takes } of { $hours }, brushes turning { $brush }.
programme-battery-given = A charge gives { $time } of brush time (site file).
programme-battery-learned =
    A charge gave { $time } of brush time at most, in { $nights } nights without charging.
programme-battery-unknown =
    What a charge gives is not known: only the hours limit the plan (battery_minutes in the site
    file).
programme-pace-assumed =
    Too little was recorded to learn how long work takes: all brush time counts as in band.
programme-column-group = Group
programme-column-sections = Sections
programme-column-never = Never
programme-column-due = Refresh
programme-column-missed = Missed
programme-column-section = Section
programme-column-state = State
programme-column-in-band = In band
programme-column-needed = Needed
programme-column-passes = Passes
programme-column-speed = Speed
programme-column-nights = Nights
programme-column-what = What
programme-h-mm = h:mm
programme-groups-note = Sections. Refresh: restored ones due for it. Missed: restored ones whose daily run was missed.
programme-all-sections = All sections
programme-no-group = Without a group
programme-needing = Sections that need something
programme-needing-none = None: what is begun is finished, and no daily run was missed.
programme-table-note =
    In band, needed, passes, speed and nights are of the open step, all nights and machines
    together; of a restored section, of its last step.
programme-crew = Who: { $list }.
programme-state-never = Never polish
programme-state-in-work = In work, step { $step }
programme-state-restored = Restored { $date }
programme-state-due = Refresh due since { $since }
programme-never-run = never
programme-what-missing = { $time } missing.
programme-what-missed =
    Daily run missed, { $nights ->
        [one] { $nights } night
       *[other] { $nights } nights
    } with work since; last: { $last }.
programme-what-not-known = Daily run not known: no record since it was due; last: { $last }.
programme-what-tonight = Daily run due tonight; last: { $last }.
programme-what-later = Next daily run { $on }.
programme-what-by-hand = By the shift book: step { $steps }.
programme-odd-forbidden = Brushes turned here for { $time }: inspect the floor.
programme-odd-early = Step { $step } was worked too early: { $time } do not count.
programme-odd-again = Step { $step } was worked again after the last one, { $time }: the floor may be dull.
programme-odd-assumed = { $share } of the minutes stand under assumed marks.
programme-daily-runs =
    Daily runs on sections that are not restored by this record: { $sections }. If they were
    restored before it began, note it in the shift book: done, step { $step }.
programme-odd-no-step = { $time } in a step that the site file does not have.

## Coverage

coverage-heading = Coverage, by the path
coverage-floor = Floor
coverage-give-or-take = Give or take
coverage-of-section = Of section
coverage-mean-times = Mean times
coverage-missed = Missed
coverage-note =
    Floor: touched at least once; overlap counts once. Give or take: 80 % interval from the
    drift of the path, which is reckoned from speed and turn rate; lanes are taken to be
    parallel or at right angles, and sweeps to end at the same two sides. Missed: between lanes,
    wider than { $strip } and not wider than the brush path. Visits cannot be laid over each
    other.
coverage-note-drift = Where the path drifted too far no floor is told.
coverage-note-over =
    Over 100 % of a section: turns at the ends of lanes lie outside of it, work went on beyond
    its mark, or the path drifted.
coverage-note-parts =
    Readings failed during a visit: its parts have a row each and may lie over each other.
coverage-note-left-out =
    { $count ->
        [one] { $count } visit
       *[other] { $count } visits
    } with less work not shown.
coverage-none-missed = no strip missed
coverage-strips-missed = { $area } { $unit } missed
coverage-caption =
    Times brushed. { $area } { $unit } touched, give or take { $bound }; the path may be off by
    { $drift }; { $missed }.
coverage-or-more = { $count } or more
coverage-sign-missed = missed

## Driving

driving-heading = Speed
driving-p5 = 5 % of the time under
driving-median = Half of the time under
driving-p95 = 95 % of the time under
driving-too-fast =
    Too fast { $times }; back in the band after { $median } as a rule, { $longest } at most{
    $open }.
driving-too-slow =
    Too slow { $times }; back in the band after { $median } as a rule, { $longest } at most{
    $open }; turns and stops are among them.
driving-ended-otherwise = { $count } more ended otherwise
driving-turned =
    Direction changed { $count ->
        [one] { $count } time
       *[other] { $count } times
    } with brushes turning.
driving-slip-spin = { $at } in { $section } (the wheel's speed leapt)
driving-slip-sideways = { $at } in { $section } (too fast for its turn)
driving-slip-dragged = { $at } in { $section } (it turned while its wheel stood)
driving-and-more = and { $count } more
driving-slips =
    A wheel may have slipped { $times }: { $named }. Way and area count what the wheel turned:
    look at its tyre and at the floor there.

## Care of machine and floor

care-heading = Care of machine and floor
care-warning-slurry =
    Slurry may hold crystalline silica: rinse and take it up wet, do not dry-sweep; close off
    wet floor. The machine's manual and local codes decide.
care-warning-charge =
    A battery on charge can give off explosive gas: air the room, no flames, no sparks. The
    battery's manual and local codes decide.
care-vacuum = Vacuum off, brush turning
care-water = Too little water
care-pressure = Below full pressure
care-head = Head up, brush turning
care-forbidden = Floor never to polish
care-do-vacuum = Check for a haze and rinse
care-do-water = Check floor and segments for heat marks
care-do-pressure = Check the finish; set full pressure
care-do-head = Lower the head before switching on
care-do-forbidden = Inspect the floor
care-and-more = { $place } and { $count } more
note-longest = The { $shown } longest are listed; { $hidden } more, { $rest } in all.
care-name-vacuum = vacuum
care-name-water = water
care-name-pressure = pressure setting
care-name-head = head position
care-too-little =
    Too little was read to judge by (less than { $least } of the time brushes turned): { $parts
    }.
battery-start = at the start { $volts }
battery-end = at the end { $volts }
battery-lowest = lowest { $volts }
battery-rest = Battery at rest: { $parts }.
battery-rest-drop = Battery at rest: { $parts } (its drop of { $drop } mV per A added).
battery-load = Battery under load: lowest { $volts } at { $at }.
battery-load-steady =
    Battery under load: lowest { $volts } at { $at }; its current hardly changed, so rest was
    not worked out.
battery-load-alone =
    Battery under load: lowest { $volts } at { $at }; its current is not recorded, so rest is
    not known at work.
battery-deep = It was discharged too deep (below { $volts } at rest), which shortens its life.
battery-low = It was low (below { $volts }).
battery-not-full = It was not full when the shift began (full from { $volts } at rest).
count-charges = { $count ->
        [one] { $count } charge
       *[other] { $count } charges
    }
battery-charge = Brush time from full to low at this use: { $time }.
battery-charge-usual =
    Brush time from full to low at this use: { $time }; usual { $usual } ({ $charges }).
care-task-slurry = { $section } ({ $at }): slurry left { $time }{ $more }: check, rinse.
care-task-water = { $section } ({ $at }): little water { $time }{ $more }: look for heat marks.
care-task-more = and in { $count } more
battery-task-deep = Charge the battery at once: too deep.
battery-task-deep-volts = Charge the battery at once: too deep, { $volts }.
battery-task-charger = Battery low, not full at start: check charger.
battery-task-charger-volts = Battery low, { $volts }, not full at start: check charger.
battery-task-low = Charge the battery to full: low.
battery-task-low-volts = Charge the battery to full: low, { $volts }.
battery-task-not-full = Battery not full at the start: check the charger.
battery-task-weak = A charge gives less than usual: have the battery tested.

## Data

data-nothing-lost = nothing lost
data-recorded = Recorded
data-recorded-of = { $time } ({ $share } of the shift's { $shift })
data-observed = Speed and brush observed
data-observed-of = { $time } ({ $share } of recorded)
data-power-ons = Power-ons (key turned on)
data-readings = Readings used
data-frames = Frames from the bridge
data-frames-received = { $frames } received; { $bad }
data-clock = Clock
data-clock-unknown = not known: no log was placed in time
data-clock-right = right within { $time }
data-meter = Machine's own brush hour meter
data-meter-and-brush = { $meter } (brush time here: { $time })
data-no-problem = No problem was found with logs, marks or settings.
data-gaps = Gaps while recording
data-note-gaps = No readings of speed or brush then; nothing is assumed of these times.
count-lost = { $count } lost
count-damaged = { $count } damaged
count-not-understood = { $count } not understood
count-doubled = { $count } twice or late
count-restarts = { $count ->
        [one] { $count } bridge restart
       *[other] { $count } bridge restarts
    }
count-disconnects = { $count ->
        [one] { $count } port loss
       *[other] { $count } port losses
    }
sensor-speed = speed sensor
sensor-turn-rate = turn-rate sensor
sensor-battery = battery voltage
sensor-current = current sensor of motor { $motor }
sensor-rotation = rotation sensor of brush { $motor }
sensor-degrees = { $number } degrees/s
sensor-turns = { $number } r/min
data-task-sensor = Check the { $sensor } and its cable: see Data.
data-task-offset =
    Check the current sensor of motor { $motor }: with brushes off it shows { $current } A.
data-stuck =
    The { $sensor } said { $value } without any change for { $time } ({ $at }): it may be stuck,
    and what rests on it then is not to be trusted.
data-impossible =
    The { $sensor } said what this machine cannot do, for { $time } ({ $at }), at most { $value
    }: taken as not observed.
count-stays = { $count ->
        [one] { $count } stay
       *[other] { $count } stays
    }
data-offset =
    The current sensor of motor { $motor } shows { $current } A with brushes off ({ $stays });
    take that off its readings.
data-offset-drifting =
    The current sensor of motor { $motor } shows { $current } A with brushes off, drifting by {
    $drift } A or more ({ $stays }); take that off its readings.
data-offset-high = Its load, friction energy and wear are about { $share } too high.
data-offset-low = Its load, friction energy and wear are about { $share } too low.
data-lost = lost
data-none-lost = none lost
data-problem = Problem
data-method =
    Worked out from the machine's own readings between { $date } { $begin } and { $end }. Brush
    time is observed time with a brush turning; below the band counts standing too. { $speed }
    Section and step are those of the last mark.
## Summary of a week or a month

range-heading = Summary, { $from } to { $to }
range-data =
    { $known } of { $all } nights of machines have data. The others are slanted lines in the charts
    and in no sum: nothing is known of them.
range-between =
    A night runs from the begin of one shift to that of the next, so work between shifts counts
    here; the sheet of a shift leaves it out.
range-sums = Sums
range-machine = Machine
range-together = Together
range-weeks = Week by week
range-week = Week, all machines
range-nights = Nights with data
range-brush = Brush on
range-in-band = Time in band
range-swept = Swept area
range-events = Brush turned standing
range-standing = Time turned standing
range-forbidden = On forbidden floor
range-nightly = Night by night, { $machine }
range-length = Shortest segment measured
range-left = { $machine }: { $best } of bonded abrasive left at the end, { $low } to { $high } at 80 %.
range-left-not-known = { $machine }: how much abrasive is left is not known. Measure and note it in the shift book.
range-floor = Floor
range-restored = Restored floor: { $before } { $unit } before, { $after } { $unit } at the end, of { $all } { $unit }.
range-forbidden-work = Brushes turned { $time } on floors that must never be polished: look at these floors.
range-none-finished = No grit step was finished.
range-finished = Steps finished
range-night = Night
range-section = Section
range-step = Step
range-by-hand = by the shift book
range-segments = Segments
range-people = By person
range-person = Person
range-people-note =
    Nights of the machines that the shift book has each person on, whole for each. They tell how
    machine, floor and plan were that night, not only how a person worked.

## Pages for technicians
heading-trace = Before and after
trace-time = Time in s from the begin at { $at }.
trace-legend =
    Grey: the event. Slanted lines: no readings. Dashed: limits in force. Each point holds the
    smallest and largest reading. Detector: a low bar while its condition holds, a full one
    during the event.
text-trace = #: the event. /: no readings. Blocks: largest reading.
trace-current = Motor { $motor }, A
trace-battery = Battery, V
trace-command = Brush switch
trace-head-down = Head down
trace-over-pressure = over pressure { $current } A
trace-stall = stall { $current } A
trace-rotation = Brush { $motor }, r/min
trace-heat = Heat { $motor }, %
trace-pressure = Pressure, %
trace-water = Water, %
trace-vacuum = Vacuum
trace-detector = Detector
trace-standing = standing below { $speed } { $unit }
trace-heat-limit = limit 100 %
trace-heat-warning = warning { $percent } %
trace-battery-empty = empty under load { $voltage } V
technician-cause = Likely cause
technician-checks = Check in this order, by the machine's manual:
evidence-lasted = for { $time } s
evidence-rise = from normal to the limit in { $time } s
evidence-switch-on = brush switch on
evidence-switch-off = brush switch off
evidence-head-down = head down
evidence-head-up = head up
column-cause = Cause
column-likely = Likely?
column-for = Speaks for it
column-against = Speaks against it
likely-yes = likely
likely-maybe = possible
likely-no = unlikely
technician-title = Event { $id }
event-heading = Event in the night of { $date }
technician-what = { $what } from { $at } for { $time } s: { $section }.
technician-note = By rules of common practice: they rank what to look at first and prove nothing.
heading-safety = Before hands go near the brush deck
safety-key = 1. Stop on level floor; brushes off; key off and out.
safety-battery = 2. Disconnect the battery as the machine's manual says.
safety-wait = 3. Wait until all brushes stand; motors may be hot.
safety-gloves = 4. Gloves and eye protection: segments and wound wire cut.
safety-slurry = 5. Keep slurry wet and off skin and eyes.
safety-manual = The machine's manual, local codes and licensed practice decide; electrical work is for those who are licensed for it.
kind-vacuum = Vacuum off
kind-water = Too little water
kind-pressure = Pressure not full
kind-head = Brushes turned, head up
kind-forbidden = Forbidden floor
kind-battery-low = Battery low
kind-battery-deep = Battery too deep
kind-slip = Wheel slipped
kind-sensor = Sensor in doubt
kind-gap = No readings
cause-standing = The brush was left on while the machine was stopped.
cause-obstacle = Something held the brush at once: a joint, bolt, edge or cable.
cause-wound = Drag on one brush: string wound up, a jammed segment, a bearing.
cause-pressed = The deck presses too hard: the setting, or a worn deck.
cause-floor = The floor there: rough, sticky or uneven.
cause-motor = This motor itself: its carbon brushes, bearing or gear.
cause-held-start = Started against a brush that was held.
cause-low-battery = The battery was too low to turn the brush.
cause-dry = The floor was dry: no water reached the brushes.
cause-new-segments = New segments, or a wrong grit.
cause-uneven-deck = The deck does not stand level.
cause-trip = A breaker or the controller took the power from the motor under load.
cause-wiring = A plug or cable lost contact.
cause-hot = The motor took more current for longer than it can cool.
cause-low-setting = The down pressure was set low.
cause-worn = Segments worn or missing, or the brush not seated.
cause-blocked = The machine was stopped or held by something.
cause-speed-sensor = The speed sensor is dead: the machine moved.
cause-brush-switch = The brush switch or its relay stuck.
cause-head-up = The head was up in truth.
cause-not-full = It was not fully charged at the start.
cause-battery-weak = The battery has grown weak, or a plug is loose.
cause-heavy-work = The work drew more than usual.
cause-crossing = The machine crossed it with its brushes on.
cause-wrong-mark = The mark was wrong: the work was elsewhere.
cause-switched = It was switched off or down during the work.
cause-forgotten = It was forgotten when the work began.
cause-switch-signal = The signal of the switch is wrong.
cause-slip = A wheel slid on wet floor or slurry.
cause-sensor = The sensor or its cable.
cause-gap = The bridge, its cable or its power.
evidence-moving = { $speed } { $unit } before
evidence-moving-after = { $speed } { $unit } after
evidence-other = the other motor at { $ratio } x its current before
evidence-after = motor { $motor } at { $ratio } x its current before, afterwards
evidence-places = { $here } such events in this section, { $elsewhere } elsewhere tonight
evidence-baseline = motor { $motor } at { $ratio } x its own normal tonight ({ $nights } nights)
evidence-voltage = { $voltage } V before, empty below { $limit } V
evidence-started = switched on { $time } s before
evidence-ran = on all the time before
evidence-pressure = pressure { $before } % before, { $now } % in it
evidence-water = water at { $percent } %
evidence-fitted = segments fitted { $nights } nights before
evidence-before = { $current } A before
evidence-peak-ratio = largest { $ratio } x the current before
evidence-stopped = from working speed to standing in { $time } s
evidence-doubt = what the speed sensor says at that time
evidence-head-unknown = the head's position is not recorded
evidence-not-full = { $voltage } V at rest at the start
evidence-weak = much less brush time on a charge than usual
evidence-not-weak = brush time on a charge as usual
evidence-changed = the setting was changed within 30 s before
evidence-unchanged = the setting was the same 30 s before
inspect-marks = Compare the marks of that time with where the machine was.
inspect-water = See that water reaches both brushes: tank, filter, valve, hose.
inspect-switches = Work each switch and see that the panel and the record say the same.
inspect-battery = Measure the battery rested; look at charger, plugs and water as its manual says.
inspect-link = Look at the bridge's lights, plug and power.
inspect-speed-sensor = Roll the machine a metre, brushes off: the speed must follow.
inspect-why-it-stood = Ask the operator why the machine stood with its brushes on.
inspect-spot-in-low-light = Look at the spot in low light from the side for a ring or dish.
inspect-brush-switch = See that the brushes stop when the machine does, as the manual says.
inspect-floor-there = Look at the floor there for a joint, bolt, edge or cable.
inspect-brush-by-hand = Turn the brush by hand: it goes round freely, nothing is wound on it.
inspect-motor = Have motor, belt or gear looked at if it does not turn freely.
inspect-down-pressure = Compare the down pressure with what the manual and the plan say.
inspect-deck-level = See that the head stands level and moves freely.
inspect-segments = Look for segments that are loose, uneven or glazed.
inspect-before-reset = Find why before a breaker is reset.
inspect-wiring = Look for chafed cable and loose or dark plugs.
inspect-air-and-heat = Let the motor cool and clear its way of air.
cause-bearing = Motor or gear runs heavy inside: a bearing, or something round the shaft.
cause-wrong-tool = Another tool or grit is on than this step's.
evidence-baseline-file = motor { $motor } at { $ratio } x what the machine file expects, tonight
evidence-run-down = in the air brush { $motor } coasts { $time } s to half speed, usually { $usual } s ({ $nights } nights)
evidence-no-load = in the air motor { $motor } draws { $current } A, usually { $usual } A ({ $nights } nights)
evidence-tool = all motors tonight at { $low } to { $high } x what this step drew ({ $nights } nights)
evidence-drive = drive current { $before } A before, { $now } A in it
evidence-heat = motor { $motor } at { $percent } % of its thermal limit
evidence-ways = this motor at { $own } x, the other at { $other } x its current before
inspect-tool = Compare tool and grit on each brush with the plan and the shift book.
inspect-drive-wheels = Look at drive wheels and squeegee: slurry, wear, something that holds.
inspect-in-the-air = Head up as the manual says, hands away: run each brush a moment, listen, see how it coasts.
trace-normal = Judged by what motor { $motor } draws in normal work, { $current } A on the whole of the night: { $from }.

# Segments to order, of several machines.
heading-orders = Segments to order
orders-by = Order by
orders-machine = Machine
orders-grit = Grit
orders-brushes = Brushes
orders-left = Left
orders-note = Estimates: measure before you order. A set that is off its machine does not wear and is not listed.

# The page of slow changes.
trend-heading = Slow changes, { $from } to { $to }
trend-machine = { $machine }: { $nights ->
        [one] { $nights } night
       *[other] { $nights } nights
    }
trend-nothing = No sign was seen in these nights.
trend-note = Dots are nights, the thick line is what the sign is judged by, the bracket at its end its 95 % interval (Theil-Sen), a dashed upright line a step. Limits are the machine file's; causes and checks are common practice, no published source.
trend-no-load = Current in the air, motor { $motor }
trend-run-down = Coasting to half, brush { $motor }
trend-winding = Winding and leads, motor { $motor }
trend-battery = Battery and leads
trend-drive-slow = Drive current, slow
trend-drive-fast = Drive current, fast
trend-way = Way of the same upkeep
trend-limit = told from { $value }
trend-too-few = { $name }: too few nights to tell, { $values } of { $needed }.
trend-steady = { $name }: steady.
trend-drifted = { $name } changed by { $change }; told from { $limit }.
trend-coming = { $name } changed by { $change } and reaches its limit of { $limit } about { $date }.
trend-stepped = { $name } stepped on { $date } from { $from } to { $to }, { $change }; told from { $limit }.
trend-line = { $values } nights from { $from } to { $to }: { $first } to { $last }, { $change } (95 % interval { $low } to { $high }).
trend-better = Better since { $date }, from { $from } to { $to }: only what followed is judged.
trend-may-be = It may be: { $what }.
trend-may-heavy = motor or gear runs heavy: it draws more in the air and stops sooner; a bearing, the gear's oil or something wound round the shaft
trend-may-air = motor or gear runs heavier in the air; the head may also not lift clear of the floor
trend-may-stops = the brush stops sooner without power: bearing or gear runs heavy, or something rubs
trend-may-winding = the motor's circuit has more resistance: carbon brushes short or stuck, commutator dirty, a plug or lead that warms up
trend-may-battery = the battery sags more under the same load: aged or dry cells, a loose or corroded terminal
trend-may-drive = driving draws more: squeegee pressed too hard or worn, a brake that drags, flat or wound wheels, or the vacuum motor
trend-may-longer = the same upkeep counts as a longer way: a worn wheel turns more often, or the section is driven otherwise
trend-may-shorter = the same upkeep counts as a shorter way: pulses of the speed sensor are lost, or the section is driven otherwise
trend-check-wound = string, strapping or wire round the brush shaft
trend-check-turn-play = turn the brush by hand: rough, tight, or play
trend-check-turn = turn the brush by hand: rough or tight
trend-check-oil = gear oil, leaks, and heat after a shift
trend-check-bearing = bearing noise; have the bearing changed before it seizes
trend-check-clears = the brush clears the floor with the head up
trend-check-clamp = the current sensor against a clamp meter
trend-check-skirt = skirt or splash guard rubbing on the brush
trend-check-plugs = plugs and leads of this motor: discoloured, loose, warm after work
trend-check-carbon = length and spring of its carbon brushes
trend-check-commutator = commutator: dark, grooved, dusty
trend-check-terminals = terminals and cable lugs: clean, tight, not warm after work
trend-check-water = water level of wet cells, with eye protection and in fresh air
trend-check-charged = charged to the end each night; the charger's own lamp
trend-check-cells = voltage of each cell or block under load
trend-check-squeegee = squeegee blade and its height and tilt
trend-check-wheels = something wound round a wheel; tyre pressure where it has air
trend-check-brake = parking brake frees fully
trend-check-hose = vacuum hose and filter: a blocked one changes the motor's current
trend-check-sensor-wheel = wear and slip of the wheel that the speed sensor sits on
trend-check-distance = drive a measured distance, and set `speed.wheel_factor` by it
trend-check-same-way = whether the section is still driven the same way, and its marks are

# Slow changes as text for terminals.
trend-column-sign = sign
trend-column-nights = nights
trend-column-first = first
trend-column-last = last
trend-column-change = change (95 %)
trend-column-so = so
trend-change = { $change } ({ $low } to { $high })
trend-short-few = too few nights
trend-short-steady = steady
trend-short-better = steady, better since { $date }
trend-short-drifted = LOOK: drifts
trend-short-coming = LOOK: at its limit about { $date }
trend-short-stepped = LOOK: stepped on { $date }

## Readings on the terminal (`browse`)

# At most 18 letters: names of lanes; longer ones are cut on the smallest terminal.
screen-standing = Turned standing
screen-near-stall = Nearly stalled
screen-trip = Motor lost power
screen-dry = Dry running?
screen-pressure = Pressure not full
screen-head = Turned, head up
screen-events-reading = Events (reading)
# At the left of a lane with the value behind it; at most 13 letters.
screen-limit-standing = standing
screen-limit-over = over
screen-limit-stall = stall
screen-limit-heat = limit
screen-limit-warning = warning
screen-limit-empty = empty
# At the right of a lane; at most 9 letters, on and off together 7.
screen-on = on
screen-off = off
screen-event = event
screen-near = near
screen-quiet = quiet
# How bad an event is.
screen-severe = severe
screen-inspect = inspect
screen-slight = slight
screen-note = note
screen-motor = motor { $motor }
screen-more = { $count } more
screen-nothing-recorded = nothing was recorded in this night
screen-no-event-after = no event after this
screen-no-event-before = no event before this
screen-events-awaited = events are still being read
screen-how-to-go = { $typed }: write a time like 1:23:45 or an event
screen-not-this-night = { $typed } is not in this night: write the date too
screen-too-small = at least { $columns } x { $rows } letters, please
screen-asked = go to: { $typed }
screen-asked-hint = (1:23:45, a date and a time, or an event)
# The line of keys: all of it at most 60 letters with its signs.
screen-move = move
screen-zoom = zoom
screen-next = event
screen-go = go to
screen-help = help
screen-leave = leave
screen-more-lanes = { $count ->
        [one] 1 more lane
       *[other] { $count } more lanes
    }
screen-reading = reading the night
# The page of keys: keys at most 16 letters, what they do at most 41.
screen-keys-pages = PgUp PgDn space
screen-keys-ends = Home End
screen-keys-leave = q  Ctrl-C
screen-help-move = cursor by a column; the view follows
screen-help-pages = a page back, on
screen-help-ends = begin, end of the night
screen-help-zoom = zoom in, out, to the whole night
screen-help-next = next, previous event
screen-help-go = to a time, a date and a time, an event
screen-help-nights = the night before, after
screen-help-lanes = other lanes, where not all have room
screen-help-leave = leave
screen-help-curve = smallest to largest; nothing was read
screen-help-limit = a limit in force, here 75
screen-help-switch = switch on, both, off
screen-help-detector = detector in an event, near one, quiet
screen-help-events = event: severe, inspect, slight, note
