//! `fulltray product`.

use ft_product::{BadProduct, Composition, FreezingView, ProductView, SyrupView};
use ft_units::{Temperature, TemperatureUnit};

use super::rules::{quantity, wrong};
use super::{out, out_json};
use crate::args::hygiene::{ProductArgs, ProductCommand};
use crate::exit::{Answer, Failure};

/// Reckons what was asked for; a cup outside its band is a no.
pub fn run(args: &ProductArgs) -> Result<Answer, Failure> {
    let bad = |bad: BadProduct| wrong((bad.message, bad.remedy));
    match &args.command {
        ProductCommand::Cup { gross, mix, tare, least, most, reported } => {
            let view = ProductView::of_cup(*gross, *mix, *tare, (*least, *most), *reported).map_err(bad)?;
            if args.json {
                out_json(&view)?
            } else {
                out(&view.text())?
            }
            Ok(if view.within { Answer::Yes } else { Answer::No })
        }
        ProductCommand::Freezing { milk_solids, whey_solids, sucrose, glucose_syrup, water, at } => {
            let mix = Composition {
                milk_solids_g: *milk_solids,
                whey_solids_g: *whey_solids,
                sucrose_g: *sucrose,
                glucose_syrup_42_g: *glucose_syrup,
                water_g: *water,
            };
            let at: Option<Temperature> = at.as_deref().map(quantity).transpose()?;
            let at_c = at.map(|at| at.in_unit(TemperatureUnit::Celsius));
            let view = FreezingView::new(&mix, at_c).map_err(bad)?;
            if args.json {
                out_json(&view)?
            } else {
                out(&view.text())?
            }
            Ok(Answer::Yes)
        }
        ProductCommand::Brix { syrup, from, to } => {
            let view = SyrupView::new(*syrup, *from, *to).map_err(bad)?;
            if args.json {
                out_json(&view)?
            } else {
                out(&view.text())?
            }
            Ok(Answer::Yes)
        }
    }
}
