//! What is to be borne in mind before a part is cut and used, stated where it applies.
//!
//! Platewright judges lines, not whether a part holds: what may hurt someone is named, and left to those who are qualified
//! and to the rules of the place. The sentences are trade rules; common practice, no source, where none is named.

use crate::job::{Duty, Job, SheetMaterial};

/// Something to bear in mind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// What it is about, in one or two words.
    pub about: &'static str,
    /// What there is to bear in mind, in one or two sentences.
    pub text: String,
}

impl Caution {
    fn new(about: &'static str, text: impl Into<String>) -> Self {
        Self { about, text: text.into() }
    }
}

/// Every caution that applies to a job: what the part is said to hold back first, then what its sheet asks for, and last
/// what holds of every part.
pub fn cautions(job: &Job) -> Vec<Caution> {
    let material = job.stock.and_then(|stock| stock.material);
    let mut found: Vec<Caution> = Duty::ALL.into_iter().filter(|duty| job.duties.contains(duty)).map(of_duty).collect();
    found.push(safety_part(job));
    found.extend(of_material(material, job.duties.contains(&Duty::Heat)));
    found.push(Caution::new("Edges", "Cut edges are sharp and have burrs: break them before anyone handles the part."));
    found.push(Caution::new(
        "Measuring",
        "Measure only what is at rest, cold, without pressure, and switched off so that nobody can start it.",
    ));
    found
}

fn of_duty(duty: Duty) -> Caution {
    match duty {
        Duty::Pressure => Caution::new(
            "Pressure",
            "It holds pressure: a cover that gives way is thrown. Have material, thickness and bolts worked out, and let the \
             pressure off before anything is opened.",
        ),
        Duty::Vacuum => Caution::new(
            "Vacuum",
            "It holds a vacuum: the air outside pushes with up to 1 bar all over it. Have thickness and support worked out.",
        ),
        Duty::Fuel => Caution::new(
            "Fuel",
            "It holds fuel, or another liquid that burns or harms: sheet and seal must bear that liquid, and a leak must not \
             reach anything hot.",
        ),
        Duty::Heat => Caution::new(
            "Heat",
            "It stands heat: sheet and seal must bear it for good, and the part must have room to grow.",
        ),
        Duty::Guarding => Caution::new(
            "Guard",
            "It keeps hands out of a machine: how strong it is, how far off and how wide its openings may be is laid down by \
             rules. The machine stays off while it is away.",
        ),
    }
}

/// Who decides about a safety part; where nothing is said of that, what makes it one.
fn safety_part(job: &Job) -> Caution {
    let who = "material, thickness and sealing are for someone qualified, under the local rules, and where those ask for it for \
               someone licensed";
    let text = if job.duties.is_empty() {
        format!("If it holds pressure, vacuum, fuel or heat, or guards a machine, it is a safety part: {who}.")
    } else {
        format!("It is a safety part: {who}. That it fits says nothing of whether it holds.")
    };
    Caution::new("Safety part", text)
}

fn of_material(material: Option<SheetMaterial>, with_heat: bool) -> Vec<Caution> {
    match material {
        Some(SheetMaterial::Plastic) => {
            let fumes = "Cutting and printing plastic gives off fumes and fine dust: ventilate. PVC gives off chlorine under a \
                         laser: never cut it so.";
            // Glass transition of PLA: common knowledge, from memory.
            let soft = "Plastic creeps under its bolts and softens when warm, printed PLA from 55 °C on.";
            let soft = if with_heat { format!("{soft} Not for a part that stands heat.") } else { soft.to_owned() };
            vec![Caution::new("Fumes", fumes), Caution::new("Plastic", soft)]
        }
        Some(SheetMaterial::Gasket) => {
            let text = "Check the gasket sheet against the liquid and the temperature. Old gaskets may hold asbestos: do not \
                        scrape or sand them dry.";
            vec![Caution::new("Gasket", text)]
        }
        Some(SheetMaterial::Wood) => {
            vec![Caution::new(
                "Fumes",
                "Board and plywood give off smoke and fine dust when cut: extract it, and mind the fire.",
            )]
        }
        Some(SheetMaterial::Metal) | None => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Stock;

    fn about(duties: &[Duty], material: Option<SheetMaterial>) -> Vec<&'static str> {
        let stock = Some(Stock { material, ..Stock::default() });
        let job = Job { duties: duties.to_vec(), stock, ..crate::job::example() };
        cautions(&job).iter().map(|caution| caution.about).collect()
    }

    #[test]
    fn what_holds_of_every_part_is_always_said() {
        assert_eq!(about(&[], None), ["Safety part", "Edges", "Measuring"]);
        assert_eq!(about(&[], Some(SheetMaterial::Metal)), ["Safety part", "Edges", "Measuring"]);
    }

    #[test]
    fn each_duty_and_each_material_has_its_own() {
        for (duty, first) in Duty::ALL.into_iter().zip(["Pressure", "Vacuum", "Fuel", "Heat", "Guard"]) {
            assert_eq!(about(&[duty], None), [first, "Safety part", "Edges", "Measuring"], "{duty:?}");
        }
        let both = about(&[Duty::Heat, Duty::Pressure], Some(SheetMaterial::Plastic));
        assert_eq!(both, ["Pressure", "Heat", "Safety part", "Fumes", "Plastic", "Edges", "Measuring"]);
        assert_eq!(about(&[], Some(SheetMaterial::Gasket))[1], "Gasket");
        assert_eq!(about(&[], Some(SheetMaterial::Wood))[1], "Fumes");
    }

    #[test]
    fn a_part_that_is_said_to_hold_something_is_a_safety_part_for_certain() {
        let text = |duties: &[Duty]| {
            let job = Job { duties: duties.to_vec(), ..crate::job::example() };
            cautions(&job).into_iter().find(|caution| caution.about == "Safety part").map(|caution| caution.text)
        };
        assert!(text(&[]).is_some_and(|text| text.starts_with("If it holds pressure")), "asked of the reader");
        let said = text(&[Duty::Vacuum]);
        assert!(said.as_ref().is_some_and(|text| text.starts_with("It is a safety part")), "{said:?}");
        assert!(said.is_some_and(|text| text.contains("qualified") && text.contains("licensed")), "and whose it is");
    }
}
