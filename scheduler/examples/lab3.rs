use scheduler::{mapping::*, milp::*, recipe::Recipes, timeline::Timeline, network::*};
use std::cell::Cell; use std::time::Instant;
fn nm(soda: &SodaNetwork, id: TaskId) -> String { format!("{:?}", soda.work[soda.net.tasks().position(|(i,_)| i==id).unwrap()]) }
fn run(p: &Program, secs: f64, gap: f64, heur: f64, known: Option<&[f64]>) -> Option<Solved> {
    let best = Cell::new(0.0);
    let w = Watch { progress: &|q: Progress| if let Some(b) = q.best { if b > best.get() + 1e-3 { best.set(b); println!("    {:.2}s best {b:.3} bound {:.3}", q.seconds, q.bound.unwrap()); } }, ..Watch::default() };
    let t = Instant::now();
    match solve(p, Settings { seconds: secs, gap, heuristics: heur }, known, w) { Ok(m) => { println!("  worth {:.3} bound {:.3} in {:.2} {:?}", m.worth, m.bound, t.elapsed().as_secs_f64(), m.stopped); Some(m) }, Err(e) => { println!("{e:?}"); None } }
}
fn restrict(soda: &SodaNetwork, form: &Formulation, p: &mut Program, x: &[f64], kinds: &[&str], width: usize) -> usize {
    let mut free = 0;
    for (id, k) in soda.net.tasks() { if k.count != Count::Whole { continue }
        let name = nm(soda, id); if !kinds.iter().any(|q| name.starts_with(q)) { continue }
        let cols: Vec<(usize,usize)> = (0..soda.net.points()).filter_map(|t| Some((t, form.starts(id,t)?))).collect();
        let st: Vec<usize> = cols.iter().filter(|(_,c)| x[*c] > 1e-6).map(|(t,_)| *t).collect();
        for (t,c) in cols { if !st.iter().any(|s| s.abs_diff(t) <= width) { p.columns[c].upper = 0.0; if let Some(y) = form.size(id,t) { p.columns[y].upper = 0.0; } } else { free += 1; } } }
    free
}
fn whole(soda: &SodaNetwork, form: &Formulation, p: &mut Program, kinds: &[&str]) {
    for c in &mut p.columns { c.whole = false; }
    for (id, k) in soda.net.tasks() { if k.count != Count::Whole { continue }
        let name = nm(soda, id); if !kinds.iter().any(|q| name.starts_with(q)) { continue }
        for t in 0..soda.net.points() { if let Some(c) = form.starts(id,t) { p.columns[c].whole = true; } } }
}
fn main() {
    let s = scheduler::sample::fixed().check().unwrap();
    let r = Recipes::of(&s).unwrap();
    let tl = Timeline::new(&s.horizon, s.site.time_zone);
    let soda = network(&s, &r, &tl);
    let form = soda.formulate(&s, &tl);
    let a: Vec<f64> = std::env::args().skip(1).map(|x| x.parse().unwrap()).collect();
    let (wa, wb, heur) = (a[0] as usize, a[1] as usize, a[2]);
    let t0 = Instant::now();
    let lp = solve(&form.program.relaxed(), Settings::default(), None, Watch::default()).unwrap();
    println!("LP {:.3} {:.2}s", lp.worth, lp.seconds);
    let mut p = form.program.clone();
    whole(&soda, &form, &mut p, &["Tap","Boil"]);
    let f = restrict(&soda, &form, &mut p, &lp.values, &["Boil","Fill","Gas","Wash"], wa);
    let f2 = if a.len() > 3 { restrict(&soda, &form, &mut p, &lp.values, &["Tap"], a[3] as usize) } else { 0 };
    println!("A free {f} taps {f2} at {:.2}", t0.elapsed().as_secs_f64());
    if let Ok(f) = std::env::var("MPS") { export_mps(&p, std::path::Path::new(&f)).unwrap(); return; }
    let Some(m) = run(&p, 5.0, 2e-4, heur, None) else { return };
    // fix taps, LP
    let mut p = form.program.clone();
    for (id, _) in soda.net.tasks() { if nm(&soda, id).starts_with("Tap") || nm(&soda,id).starts_with("Boil") { for t in 0..soda.net.points() { if let Some(c) = form.starts(id,t) { let v = m.values[c].round(); p.columns[c].lower = v; p.columns[c].upper = v; } } } }
    compare(&soda, &form, &[("lp", &lp.values), ("A", &m.values)]);
    let lp2 = solve(&p.relaxed(), Settings::default(), None, Watch::default()).unwrap();
    println!("LP2 {:.3} {:.2}s at {:.2}", lp2.worth, lp2.seconds, t0.elapsed().as_secs_f64());
    let f = restrict(&soda, &form, &mut p, &lp2.values, &["Fill","Gas","Wash"], wb);
    println!("B free {f}");
    let Some(m) = run(&p, 5.0, 2e-4, heur, None) else { return };
    println!("final {:.3} vs {:.3} gap {:.5} at {:.2}", m.worth, lp.worth, 1.0 - m.worth/lp.worth, t0.elapsed().as_secs_f64());
}
pub fn compare(soda: &SodaNetwork, form: &Formulation, xs: &[(&str, &[f64])]) {
    for kind in ["Boil","Dump","Fill","Gas","Tap","Serve","Stale","Wash","BuyIce","Return"] {
        print!("{kind:8}");
        for (n, x) in xs { let (mut c0, mut w, mut sz) = (0.0, 0.0, 0.0);
            for (id, k) in soda.net.tasks() { if nm(soda, id).starts_with(kind) { for t in 0..soda.net.points() { if let Some(c) = form.starts(id,t) { c0 += x[c]; w += x[c]*k.worth_per_start.at(t); if let Some(y) = form.size(id,t) { sz += x[y]; w += x[y]*k.worth_per_size; } } } } }
            print!("  {n}: n={c0:.2} size={sz:.1} worth={w:.2}"); }
        println!();
    }
    let mut lv = vec![0.0; xs.len()];
    for (id, r) in soda.net.resources() { for l in form.levels(id) { if let Some(c) = l.column { for (i,(_, x)) in xs.iter().enumerate() { lv[i] += x[c]*form.program.columns[c].worth; } } } let _ = r; }
    println!("levels {lv:?}");
}
