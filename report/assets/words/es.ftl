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
