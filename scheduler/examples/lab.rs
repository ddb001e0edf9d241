use scheduler::{mapping::*, milp::*, recipe::Recipes, timeline::Timeline};
fn main() {
    let s = scheduler::sample::fixed().check().unwrap();
    let r = Recipes::of(&s).unwrap();
    let tl = Timeline::new(&s.horizon, s.site.time_zone);
    let soda = network(&s, &r, &tl);
    let form = soda.formulate(&s, &tl);
    let secs: f64 = std::env::args().nth(2).map_or(20.0, |x| x.parse().unwrap());
    let which = std::env::args().nth(1).unwrap();
    let mut p = form.program.clone();
    for c in &mut p.columns { c.whole = false; }
    for (n, (id, _)) in soda.net.tasks().enumerate() {
        let yes = match soda.work[n] { Work::Tap{..} => which.contains('t'), Work::Gas{..} => which.contains('g'), Work::Boil{..} => which.contains('b'), Work::Fill{..} => which.contains('f'), Work::Wash{..} => which.contains('w'), Work::Return{..} => which.contains('r'), _ => false };
        if yes { for t in 0..soda.net.points() { if let Some(c) = form.starts(id, t) { p.columns[c].whole = true; } } }
    }
    println!("{which}: whole {}", p.columns.iter().filter(|c| c.whole).count());
    let w = Watch { progress: &|p: Progress| println!("  {p:?}"), ..Watch::default() };
    match solve(&p, Settings { seconds: secs, gap: 1e-4, ..Settings::default() }, None, w) {
      Ok(m) => println!("{which}: worth {:.3} bound {:.3} in {:.2} {:?}", m.worth, m.bound, m.seconds, m.stopped), Err(e) => println!("{e:?}") }
}
