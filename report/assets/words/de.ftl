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
