//! The machine file and the shift book as they are first written.

use super::answers::Answers;
use crate::settings::table::quoted;

pub(super) fn machine(answers: &Answers) -> String {
    format!(
        "#:schema ./schema/machine.json
# One machine. The numbers below are examples: put in those of its manual and of the
# motor's plate. Where they differ, the manual holds.

id = {id}        # as the recorder on the machine has it
name = {id}

[deck]
brushes = {brushes}             # 1 to 4, left to right
path_width = \"{width}\"
# Floor under the brushes in the direction of travel: one brush diameter.
contact_length = \"14 in\"

[motor]
torque_constant = \"0.12 N.m/A\"
resistance = \"0.3 ohm\"
no_load_current = \"3 A\"   # brush in the air
gear_ratio = 14.0
rated_current = \"30 A\"    # from the plate

[battery]
nominal_voltage = \"36 V\"

# Segments: lengths of bonded abrasive. Common practice, no published source.
[blade]
new_length = \"1 in\"
reorder_length = \"0.25 in\"
lead_time = \"14 d\"
measure_every = \"7 d\"
",
        id = quoted(&answers.machine),
        brushes = answers.brushes,
        width = answers.path_width,
    )
}

pub(super) fn book(answers: &Answers) -> String {
    let section = answers.sections.iter().find(|group| group.count > 0);
    let section = section.map_or("A-01".to_owned(), |group| format!("{}-01", group.letter));
    let grit = answers.grits.last().map(|grit| quoted(grit)).unwrap_or_default();
    format!(
        "#:schema ./schema/book.json
# What people note by hand. Take the `#` away, put in your own, add as many as you like.
# Every entry may have `machine = \"id\"` and `by = \"name\"`. A spreadsheet can edit it too:
# underbrush book book.toml --out book.csv
# Check after every change: underbrush check-files

# [[tool]]                # brushes fitted
# fitted = 2026-11-02     # local date
# grit = {grit}
# removed = 2026-11-30    # taken off; left out: when the next one is fitted

# [[measured]]            # shortest segment, every week
# date = 2026-11-06
# length = \"0.93 in\"      # or quadrants = [[\"0.93 in\", \"0.94 in\", \"0.93 in\", \"0.95 in\"]]

# [[plan]]                # what is to be done in a night, in order
# date = 2026-11-23       # the night by the date on which it begins
# section = \"{section}\"
# phase = \"step 1\"        # step N | maintenance

# [[begun]]               # where the machine was not told
# at = 2026-11-23T22:05:00
# section = \"{section}\"
# phase = \"step 1\"

# [[done]]                # finished without a record
# date = 2026-11-20
# section = \"{section}\"
# phase = \"step 1\"

# [[check]]
# date = 2026-11-23
# what = \"filter\"         # as in the site file
# result = \"done\"         # done | bad | skipped

# [[remark]]
# date = 2026-11-23
# text = \"Left side of the aisle is still cloudy.\"
"
    )
}
