//! Connecting a carbonator to the water main.

use model::about::LIMITS;
use model::inputs::Acidity;
use model::limits::{self, BackflowDevice, WettedMaterial, WettedPlace};
use serde::Serialize;
use utoipa::ToSchema;

use crate::app::calculations::calculation::{Calculate, Calculated, Card};
use crate::app::calculations::inputs::inputs;
use crate::app::calculations::notes::{RuleNote, VerdictNote};
use crate::app::calculations::refused::Refused;

inputs! {
    /// A carbonator's connection to the main.
    BackflowInputs => BackflowEcho {
        choices {
            /// What keeps water from flowing back.
            device: BackflowDevice,
            /// A screen of 100 mesh stands before it.
            screened: bool,
            /// It is upstream of the carbonator.
            upstream_of_carbonator: bool,
            /// There is copper or brass between it and the carbonator.
            copper_after_it: bool,
        }
    }
}

/// A verdict on the connection.
#[derive(Debug, Serialize, ToSchema)]
pub(in crate::app::calculations) struct BackflowAnswer {
    /// Whether the rule is kept.
    rule: RuleNote,
}

impl Calculate for BackflowInputs {
    type Answer = BackflowAnswer;

    const CARD: Card = Card {
        name: "limits/backflow",
        title: "Keeping carbonated water out of the main",
        answers: "Is this carbonator connected as the Food Code asks? A licensed fitter and local \
                  code go first.",
        equations: &[LIMITS],
        blamed: &["device"],
        example: r#"{"device": "vented_dual_check", "screened": true, "upstream_of_carbonator": true, "copper_after_it": false}"#,
    };

    fn calculate(&self) -> Result<Calculated<BackflowAnswer>, Refused> {
        let verdict = limits::backflow(
            self.device,
            self.screened,
            self.upstream_of_carbonator,
            self.copper_after_it,
        );
        let answer = BackflowAnswer {
            rule: verdict.into(),
        };
        Ok(Calculated::new(answer).mind_if(!verdict.accepted, verdict))
    }
}

inputs! {
    /// A part that water or drink touches.
    CopperInputs => CopperEcho {
        defaulted {
            /// Acidity of the drink; carbonated water has a pH of about 3.5.
            ph: Acidity = 3.5 => ph: Acidity,
        }
        choices {
            /// What it is made of.
            material: WettedMaterial,
            /// Where it is.
            place: WettedPlace,
        }
    }
}

/// A verdict on the part.
#[derive(Debug, Serialize, ToSchema)]
pub(in crate::app::calculations) struct CopperAnswer {
    /// Whether the rule is kept.
    rule: RuleNote,
    /// How far the drink is below pH 6, where it touches copper; null where it does not.
    acidity: Option<VerdictNote>,
}

impl Calculate for CopperInputs {
    type Answer = CopperAnswer;

    const CARD: Card = Card {
        name: "limits/copper",
        title: "Copper and brass near carbonated water",
        answers: "May this part be there? Carbonated water dissolves copper.",
        equations: &[LIMITS],
        blamed: &["material", "place"],
        example: r#"{"material": "brass", "place": "drink"}"#,
    };

    fn calculate(&self) -> Result<Calculated<CopperAnswer>, Refused> {
        let (verdict, acidity) = limits::copper(self.material, self.place, self.ph().ph());
        let answer = CopperAnswer {
            rule: verdict.into(),
            acidity: acidity.map(VerdictNote::from),
        };
        Ok(Calculated::new(answer).mind_if(!verdict.accepted, verdict))
    }
}
