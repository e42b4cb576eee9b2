//! Strong components, cycles and reach against networkx.
//!
//! Source: `tests/fixtures/graphs.json`, 300 random zone and output graphs answered by networkx
//! and confirmed there by a Floyd-Warshall closure.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use std::collections::BTreeMap;

use curtilage_events::graph::Graph;
use proptest::prelude::*;
use serde::Deserialize;

const FIXTURE: &str = include_str!("../../../tests/fixtures/graphs.json");

#[derive(Deserialize)]
struct Case {
    id: String,
    nodes: Vec<String>,
    edges: Vec<(String, String)>,
    expect: Expect,
}

#[derive(Deserialize)]
struct Expect {
    loops: Vec<Vec<String>>,
    cycles: Vec<Vec<String>>,
    cycles_truncated: bool,
    components: Vec<Vec<String>>,
    reach: BTreeMap<String, Vec<String>>,
    acyclic_order_exists: bool,
}

#[test]
fn all_fixture_graphs_exact() {
    let cases: Vec<Case> = serde_json::from_str(FIXTURE).unwrap();
    assert_eq!(cases.len(), 300);
    for case in &cases {
        // Nodes in name order, so that sorted answers compare as they stand.
        let mut names = case.nodes.clone();
        names.sort();
        let number = |name: &String| names.binary_search(name).unwrap();
        let mut graph = Graph::new(names.len());
        for (from, to) in &case.edges {
            graph.add_edge(number(from), number(to));
        }
        let named = |parts: Vec<Vec<usize>>| -> Vec<Vec<String>> {
            let name =
                |part: Vec<usize>| part.into_iter().map(|node| names[node].clone()).collect();
            parts.into_iter().map(name).collect()
        };
        let cycles = graph.cycles(1000);
        assert_eq!(named(graph.loops()), case.expect.loops, "{}", case.id);
        assert_eq!(named(cycles.cycles), case.expect.cycles, "{}", case.id);
        assert_eq!(cycles.truncated, case.expect.cycles_truncated, "{}", case.id);
        assert_eq!(named(graph.weak_components()), case.expect.components, "{}", case.id);
        assert_eq!(graph.is_acyclic(), case.expect.acyclic_order_exists, "{}", case.id);
        for (name, want) in &case.expect.reach {
            let got = named(vec![graph.reach(number(name))]).remove(0);
            assert_eq!(&got, want, "{} from {name}", case.id);
        }
    }
}

#[test]
fn cycles_stop_at_the_limit_and_say_so() {
    let mut full = Graph::new(6);
    for from in 0..6 {
        for to in 0..6 {
            full.add_edge(from, to);
        }
    }
    // Sum over k of C(6,k) (k-1)! = 6 + 15 + 40 + 90 + 144 + 120 cycles in the full graph with self-loops.
    let all = full.cycles(415);
    assert_eq!((all.cycles.len(), all.truncated), (415, false));
    let some = full.cycles(414);
    assert_eq!((some.cycles.len(), some.truncated), (414, true));
}

#[test]
fn a_long_chain_needs_no_stack() {
    let mut chain = Graph::new(200_000);
    for node in 1..200_000 {
        chain.add_edge(node - 1, node);
    }
    assert_eq!(chain.strong_components().len(), 200_000);
    chain.add_edge(199_999, 0);
    assert_eq!(chain.loops().len(), 1);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]
    /// Strong components are the classes of mutual reach, and each cycle found is one.
    #[test]
    fn components_are_mutual_reach(edges in prop::collection::vec((0usize..9, 0usize..9), 0..22)) {
        let mut graph = Graph::new(9);
        for &(from, to) in &edges {
            graph.add_edge(from, to);
        }
        let reach: Vec<Vec<usize>> = (0..9).map(|node| graph.closure([node])).collect();
        for part in graph.strong_components() {
            for node in 0..9 {
                let mutual = reach[part[0]].contains(&node) && reach[node].contains(&part[0]);
                prop_assert_eq!(part.contains(&node), mutual);
            }
        }
        let found = graph.cycles(100_000);
        prop_assert!(!found.truncated);
        prop_assert_eq!(found.cycles.is_empty(), graph.is_acyclic());
        prop_assert_eq!(found.cycles.len(), count_cycles(&graph));
        for cycle in &found.cycles {
            prop_assert_eq!(cycle.iter().min(), cycle.first());
            for (place, &node) in cycle.iter().enumerate() {
                prop_assert!(graph.has_edge(node, cycle[(place + 1) % cycle.len()]));
            }
        }
    }
}

/// The plain way: every simple path from each least node.
fn count_cycles(graph: &Graph) -> usize {
    fn walk(graph: &Graph, start: usize, node: usize, seen: &mut Vec<usize>) -> usize {
        let mut count = 0;
        for &to in graph.targets(node) {
            if to == start {
                count += 1;
            } else if to > start && !seen.contains(&to) {
                seen.push(to);
                count += walk(graph, start, to, seen);
                seen.pop();
            }
        }
        count
    }
    (0..graph.len()).map(|start| walk(graph, start, start, &mut vec![start])).sum()
}
