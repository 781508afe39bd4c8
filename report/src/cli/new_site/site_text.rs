//! The site file as it is first written.

use super::answers::Answers;
use crate::settings::table::quoted;
use crate::units::Units;
use std::fmt::Write as _;

pub(super) fn site(answers: &Answers) -> String {
    let list = |names: &[String]| names.iter().map(|n| quoted(n)).collect::<Vec<_>>().join(", ");
    let units = if answers.units == Units::Us { "us" } else { "si" };
    let band = if answers.units == Units::Us {
        ("1 mph", "1.5 mph", "2 mph", "3 mph")
    } else {
        ("0.45 m/s", "0.67 m/s", "0.9 m/s", "1.34 m/s")
    };
    let mut text = format!(
        "#:schema ./schema/site.json
# The building: what is to be worked, with what, and when.
# Check after every change: underbrush check-files

name = {name}
time_zone = {zone}
units = \"{units}\"            # us | si
paper = \"{paper}\"        # letter | a4
language = \"{language}\"         # en | es | de
colour = false          # true: marks on the sheet also in colour

# Surfaces that are never polished, whatever a section says.
never_polish = [{never}]

# Names of people are personal data: leave the list empty unless you need it, and ask
# what your law and your people say. Initials or numbers do as well.
crew = []
per_operator = false    # true: summaries by person

[shift]
start = \"{start}\"         # local time
end = \"{end}\"

# Speed with brushes down: common practice, no published source. The manuals of machine
# and tools come first.
[bands]
restoration = {{ low = \"{low}\", high = \"{high}\" }}
maintenance = {{ low = \"{low_m}\", high = \"{high_m}\" }}

[night]
setup_minutes = 15      # a change of tools (common practice)
# battery_minutes = 180 # brush work on one charge; left out: learned from the logs
",
        name = quoted(&answers.name),
        zone = quoted(answers.zone.name()),
        paper = answers.paper,
        language = answers.language,
        never = list(&answers.never_polish),
        start = answers.start,
        end = answers.end,
        low = band.0,
        high = band.1,
        low_m = band.2,
        high_m = band.3,
    );
    steps(&mut text, answers);
    sections(&mut text, answers);
    text.push_str(TAIL);
    text
}

fn steps(text: &mut String, answers: &Answers) {
    text.push_str(
        "\n# Minutes at band speed for one section: common practice, no published source.\n",
    );
    for (at, grit) in answers.grits.iter().enumerate() {
        let minutes = if at == 0 { 45 } else { 30 };
        let (number, grit) = (at + 1, quoted(grit));
        let _ = write!(text, "[[step]]\nnumber = {number}\ngrit = {grit}\nminutes = {minutes}\n\n");
    }
    let last = answers.grits.last().map(|grit| quoted(grit)).unwrap_or_default();
    let _ = write!(
        text,
        "# The regular run over finished floor.\n[maintenance]\ngrit = {last}\nevery = 1               # days\n"
    );
}

fn sections(text: &mut String, answers: &Answers) {
    let unit = if answers.units == Units::Us { "sq ft" } else { "m2" };
    for group in answers.sections.iter().filter(|group| group.count > 0) {
        let _ = write!(
            text,
            "\n[[group]]\nid = \"{}\"\nname = \"{}\"\n# maintain_every = 1    # days, where it differs from [maintenance]\n# refresh_after = 365   # days until traffic asks for a new restoration\n",
            group.group, group.name
        );
    }
    text.push_str("\n# Put in the true areas, and what people call each section. `tag` is the number of a\n# floor tag that the machine reads, if there are any.\n");
    for group in &answers.sections {
        for number in 1..=group.count {
            let _ = write!(
                text,
                "[[section]]\nid = \"{}-{number:02}\"\nname = \"{} {number}\"\narea = \"{} {unit}\"\nsurface = \"polished concrete\"\ngroup = \"{}\"\n\n",
                group.letter, group.name, group.area, group.group
            );
        }
    }
}

const TAIL: &str = "# What a button at the machine means.
# [[button]]
# number = 1
# phase = \"step 1\"      # step N | maintenance

# Checks on the sheet, answered in the shift book by `what`: common practice, the
# machine's manual comes first.
[[check]]
id = \"squeegee\"
name = \"Squeegee blades wiped, turned or changed\"
every = 1               # days

[[check]]
id = \"tank\"
name = \"Recovery tank emptied and rinsed\"
every = 1

[[check]]
id = \"filter\"
name = \"Vacuum filter and float cleaned\"
every = 1

[[check]]
id = \"battery\"
name = \"Battery water level, plugs and cables looked at\"
every = 7
";
