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
