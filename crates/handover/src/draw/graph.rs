//! The cause-and-effect graph: causes on the left, responses in the middle, effects on the right.
//!
//! Causes that set off the same responses stand in one box, so that they need one line. The order
//! within each column is that of the barycentre heuristic (Sugiyama, Tagawa, Toda 1981, from memory),
//! a few sweeps, the best of them kept.

use super::{Anchor, Canvas, Figure, Size};
use crate::words;
use curtilage_facts::Facts;
use curtilage_model::Model;

/// The graph in layers, before it has places.
struct Graph {
    /// The names in each box of causes, and the responses that they set off.
    causes: Vec<(Vec<String>, Vec<usize>)>,
    /// The two lines of each response.
    responses: Vec<(String, String)>,
    /// Each effect, and the responses that have it.
    effects: Vec<(String, Vec<usize>)>,
}

/// The order of each layer, by index.
#[derive(Clone)]
struct Order {
    causes: Vec<usize>,
    responses: Vec<usize>,
    effects: Vec<usize>,
}

const CAUSE: (f64, f64) = (10.0, 330.0);
const RESPONSE: (f64, f64) = (410.0, 660.0);
const EFFECT: (f64, f64) = (730.0, 950.0);
/// The most that the last column becomes wider for the sake of its names.
const MORE: f64 = 160.0;
const LINE: f64 = 16.0;
const GAP: f64 = 12.0;
/// The height of a part that fits a page.
const PAGE: f64 = 680.0;
const SWEEPS: usize = 12;

/// The graph as one drawing, and in parts when it is too tall for a page.
pub(crate) fn figures(facts: &Facts<'_, '_>) -> Option<Figure> {
    let model = facts.model;
    if model.responses.is_empty() {
        return None;
    }
    let all: Vec<usize> = (0..model.responses.len()).collect();
    let whole = Graph::of(model, &all);
    let order = whole.order();
    let about =
        format!("{} responses, what sets each off, and what it does", model.responses.len());
    let title = "Cause-and-effect graph";
    let drawn = whole.draw(&order);
    if drawn.extent().1 <= PAGE {
        return Some(Figure::new("cause-and-effect-graph", title, about, vec![drawn], None));
    }
    let mut parts = Vec::new();
    let mut chunk: Vec<usize> = Vec::new();
    for response in &order.responses {
        let mut more = chunk.clone();
        more.push(*response);
        if !chunk.is_empty() && Graph::of(model, &more).height() > PAGE {
            parts.push(std::mem::take(&mut chunk));
        }
        chunk.push(*response);
    }
    parts.push(chunk);
    let parts = parts.into_iter().map(|chunk| {
        let graph = Graph::of(model, &chunk);
        graph.draw(&graph.order())
    });
    Some(Figure::new("cause-and-effect-graph", title, about, parts.collect(), Some(drawn)))
}

impl Graph {
    /// The graph of some responses.
    fn of(model: &Model<'_>, chosen: &[usize]) -> Self {
        let mut single: Vec<(String, Vec<usize>)> = Vec::new();
        let mut graph = Self { causes: Vec::new(), responses: Vec::new(), effects: Vec::new() };
        for (at, index) in chosen.iter().enumerate() {
            let Some(response) = model.responses.get(*index) else { continue };
            let mut below = words::conditions(model, response);
            if let Some(within) = response.all_within {
                let all = format!("all within {}", words::time(within));
                below = if below.is_empty() { all } else { format!("{all}, {below}") };
            }
            graph.responses.push((words::response(model, *index), below));
            for (cause, _) in &response.causes {
                link(&mut single, words::cause(model, *cause), at);
            }
            for (effect, _) in &response.effects {
                link(&mut graph.effects, words::effect(model, effect).0, at);
            }
        }
        for (name, responses) in single {
            match graph.causes.iter_mut().find(|(_, known)| *known == responses) {
                Some((names, _)) => names.push(name),
                None => graph.causes.push((vec![name], responses)),
            }
        }
        graph
    }

    fn as_written(&self) -> Order {
        Order {
            causes: (0..self.causes.len()).collect(),
            responses: (0..self.responses.len()).collect(),
            effects: (0..self.effects.len()).collect(),
        }
    }

    /// The order with the fewest crossings that was found.
    fn order(&self) -> Order {
        let mut order = self.as_written();
        let mut best = (self.crossings(&order), order.clone());
        for sweep in 0..SWEEPS {
            let responses = places(&order.responses);
            sort(&mut order.causes, |cause| {
                mean(self.causes.get(cause).map_or(&[][..], |(_, to)| to), &responses)
            });
            sort(&mut order.effects, |effect| {
                mean(self.effects.get(effect).map_or(&[][..], |(_, from)| from), &responses)
            });
            let (causes, effects) = (places(&order.causes), places(&order.effects));
            // From the left and from the right in turn, and at last from both.
            sort(&mut order.responses, |response| {
                let of_cause = self.causes.iter().enumerate();
                let of_cause = of_cause.filter(|(_, (_, to))| to.contains(&response));
                let of_cause: Vec<usize> = of_cause.map(|(at, _)| at).collect();
                let of_effect = self.effects.iter().enumerate();
                let of_effect = of_effect.filter(|(_, (_, from))| from.contains(&response));
                let of_effect: Vec<usize> = of_effect.map(|(at, _)| at).collect();
                let (left, right) = (mean(&of_cause, &causes), mean(&of_effect, &effects));
                match sweep % 3 {
                    0 => right,
                    1 => left,
                    _ => left + right,
                }
            });
            let found = self.crossings(&order);
            if found < best.0 {
                best = (found, order.clone());
            }
        }
        best.1
    }

    /// How often lines between neighbouring layers cross.
    fn crossings(&self, order: &Order) -> usize {
        let responses = places(&order.responses);
        let layer = |own: &[usize], links: &dyn Fn(usize) -> Vec<usize>| {
            let mut lines: Vec<(usize, usize)> = Vec::new();
            for (place, index) in own.iter().enumerate() {
                for other in links(*index) {
                    lines.push((place, responses.get(other).copied().unwrap_or(0)));
                }
            }
            let mut crossings = 0;
            for (at, one) in lines.iter().enumerate() {
                let later = lines.iter().skip(at + 1);
                crossings += later.filter(|two| one.0 < two.0 && one.1 > two.1).count();
            }
            crossings
        };
        let causes = |at: usize| self.causes.get(at).map_or_else(Vec::new, |(_, to)| to.clone());
        let effects = |at: usize| self.effects.get(at).map_or_else(Vec::new, |(_, to)| to.clone());
        layer(&order.causes, &causes) + layer(&order.effects, &effects)
    }

    fn heights(&self) -> (Vec<f64>, Vec<f64>, Vec<f64>) {
        let causes = self.causes.iter().map(|(names, _)| LINE * names.len() as f64 + 10.0);
        let responses =
            self.responses.iter().map(|(_, below)| if below.is_empty() { 26.0 } else { 42.0 });
        let effects = self.effects.iter().map(|_| 24.0);
        (causes.collect(), responses.collect(), effects.collect())
    }

    fn height(&self) -> f64 {
        let (causes, responses, effects) = self.heights();
        let column = |heights: &[f64]| heights.iter().map(|one| one + GAP).sum::<f64>();
        column(&causes).max(column(&responses)).max(column(&effects)) + 50.0
    }

    fn draw(&self, order: &Order) -> Canvas {
        let height = self.height();
        let widest = self.effects.iter().map(|(name, _)| EFFECT.0 + Size::Body.width(name) + 18.0);
        let effect = (EFFECT.0, widest.fold(EFFECT.1, f64::max).min(EFFECT.1 + MORE));
        let mut canvas = Canvas::new(effect.1 + 10.0, height);
        let (causes, responses, effects) = self.heights();
        for ((left, right), title) in
            [(CAUSE, "causes"), (RESPONSE, "responses"), (effect, "effects")]
        {
            let at = ((left + right) / 2.0, 18.0);
            canvas.text("", at, (Size::Head, Anchor::Middle), title, right - left);
        }
        let causes = spread(&order.causes, &causes, height);
        let responses = spread(&order.responses, &responses, height);
        let effects = spread(&order.effects, &effects, height);
        let middle = |spread: &[(f64, f64)], at: usize| {
            spread.get(at).map_or(0.0, |(top, height)| top + height / 2.0)
        };
        for (at, (_, to)) in self.causes.iter().enumerate() {
            for response in to {
                let from = (CAUSE.1, middle(&causes, at));
                canvas.curve(from, (RESPONSE.0, middle(&responses, *response)));
            }
        }
        for (at, (_, from)) in self.effects.iter().enumerate() {
            for response in from {
                let start = (RESPONSE.1, middle(&responses, *response));
                canvas.curve(start, (EFFECT.0, middle(&effects, at)));
            }
        }
        for at in &order.causes {
            let (Some((names, _)), Some((top, tall))) = (self.causes.get(*at), causes.get(*at))
            else {
                continue;
            };
            boxed(&mut canvas, CAUSE, (*top, *tall), names);
        }
        for at in &order.responses {
            let (Some((name, below)), Some((top, tall))) =
                (self.responses.get(*at), responses.get(*at))
            else {
                continue;
            };
            boxed(&mut canvas, RESPONSE, (*top, *tall), &[name.clone(), below.clone()]);
        }
        for at in &order.effects {
            let (Some((name, _)), Some((top, tall))) = (self.effects.get(*at), effects.get(*at))
            else {
                continue;
            };
            boxed(&mut canvas, effect, (*top, *tall), std::slice::from_ref(name));
        }
        canvas
    }
}

fn link(list: &mut Vec<(String, Vec<usize>)>, name: String, to: usize) {
    match list.iter_mut().find(|(known, _)| *known == name) {
        Some((_, all)) if all.last() == Some(&to) => {}
        Some((_, all)) => all.push(to),
        None => list.push((name, vec![to])),
    }
}

/// The place of each index in an order.
fn places(order: &[usize]) -> Vec<usize> {
    let mut out = vec![0; order.len()];
    for (place, index) in order.iter().enumerate() {
        if let Some(slot) = out.get_mut(*index) {
            *slot = place;
        }
    }
    out
}

/// The mean place of some neighbours.
fn mean(of: &[usize], places: &[usize]) -> f64 {
    if of.is_empty() {
        return 0.0;
    }
    let sum: usize = of.iter().filter_map(|at| places.get(*at)).sum();
    sum as f64 / of.len() as f64
}

/// Sorts by a figure; those that are equal stay as they are.
fn sort(order: &mut [usize], by: impl Fn(usize) -> f64) {
    order.sort_by(|a, b| by(*a).total_cmp(&by(*b)));
}

/// The top and the height of each box, spread evenly over a column.
fn spread(order: &[usize], heights: &[f64], height: f64) -> Vec<(f64, f64)> {
    let sum: f64 = heights.iter().sum();
    let room = height - 40.0 - sum;
    let gap = room / (order.len().max(1) as f64);
    let mut out = vec![(0.0, 0.0); heights.len()];
    let mut y = 34.0 + gap / 2.0;
    for at in order {
        let tall = heights.get(*at).copied().unwrap_or(0.0);
        if let Some(slot) = out.get_mut(*at) {
            *slot = (y, tall);
        }
        y += tall + gap;
    }
    out
}

fn boxed(
    canvas: &mut Canvas,
    (left, right): (f64, f64),
    (top, tall): (f64, f64),
    lines: &[String],
) {
    canvas.rect("box", [left, top, right, top + tall], &lines.join(", "));
    for (at, line) in lines.iter().enumerate() {
        let y = top + 17.0 + LINE * at as f64;
        let class = if at == 0 { "" } else { "d" };
        let class = if lines.len() == 2 && right == RESPONSE.1 { class } else { "" };
        canvas.text(class, (left + 8.0, y), (Size::Body, Anchor::Start), line, right - left - 16.0);
    }
}

#[cfg(test)]
mod tests {
    use super::Graph;

    fn graph(causes: &[&[usize]], effects: &[&[usize]], responses: usize) -> Graph {
        let named = |at: usize| format!("n{at}");
        Graph {
            causes: causes
                .iter()
                .enumerate()
                .map(|(at, to)| (vec![named(at)], to.to_vec()))
                .collect(),
            responses: (0..responses).map(|at| (named(at), String::new())).collect(),
            effects: effects.iter().enumerate().map(|(at, to)| (named(at), to.to_vec())).collect(),
        }
    }

    #[test]
    fn crossings_that_can_be_avoided_are() {
        // Written the wrong way round on both sides: no line has to cross another.
        let graph = graph(&[&[2], &[1], &[0]], &[&[1], &[2], &[0]], 3);
        assert_eq!(graph.crossings(&graph.as_written()), 3 + 2);
        assert_eq!(graph.crossings(&graph.order()), 0);
    }

    #[test]
    fn the_order_is_never_worse_than_as_written() {
        let graph = graph(&[&[0, 1], &[1], &[0]], &[&[0, 1], &[1, 0]], 2);
        assert!(graph.crossings(&graph.order()) <= graph.crossings(&graph.as_written()));
    }
}
