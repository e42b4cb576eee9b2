//! A dense solver of any network, written apart from the tree solver: the reference for
//! rings, curves and the neighbourhood of the fold.

use curtilage_circuit::network::Load;

/// A network as plain lists; node 0 is the supply's.
#[derive(Debug, Clone)]
pub(crate) struct Plain {
    pub(crate) emf: f64,
    pub(crate) internal: f64,
    pub(crate) nodes: usize,
    pub(crate) edges: Vec<(usize, usize, f64)>,
    pub(crate) loads: Vec<(usize, Load)>,
}

/// Inverse of a matrix by Gauss-Jordan with partial pivoting; none if singular.
pub(crate) fn inverse(m: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    let n = m.len();
    let mut a: Vec<Vec<f64>> = m
        .iter()
        .enumerate()
        .map(|(k, r)| {
            let mut r = r.clone();
            r.extend((0..n).map(|j| f64::from(u8::from(j == k))));
            r
        })
        .collect();
    for k in 0..n {
        let best = (k..n).max_by(|&i, &j| a[i][k].abs().total_cmp(&a[j][k].abs()))?;
        a.swap(k, best);
        let p = a[k][k];
        if p == 0.0 {
            return None;
        }
        for x in &mut a[k] {
            *x /= p;
        }
        let row = a[k].clone();
        for (i, other) in a.iter_mut().enumerate() {
            let f = other[k];
            if i != k && f != 0.0 {
                for (x, y) in other.iter_mut().zip(&row) {
                    *x -= f * y;
                }
            }
        }
    }
    Some(a.into_iter().map(|r| r[n..].to_vec()).collect())
}

pub(crate) fn times(m: &[Vec<f64>], v: &[f64]) -> Vec<f64> {
    m.iter().map(|r| r.iter().zip(v).map(|(a, b)| a * b).sum()).collect()
}

/// The conductance matrix without loads.
pub(crate) fn conductances(p: &Plain) -> Vec<Vec<f64>> {
    let mut g = vec![vec![0.0; p.nodes]; p.nodes];
    g[0][0] += 1.0 / p.internal;
    for &(a, b, r) in &p.edges {
        g[a][a] += 1.0 / r;
        g[b][b] += 1.0 / r;
        g[a][b] -= 1.0 / r;
        g[b][a] -= 1.0 / r;
    }
    g
}

/// The highest solution for constant current, power and resistance, or none on
/// collapse: dense Newton from above, an M-matrix by the signs of its inverse.
pub(crate) fn solve(p: &Plain) -> Option<Vec<f64>> {
    let mut g = conductances(p);
    let mut right = vec![0.0; p.nodes];
    let mut power = vec![0.0; p.nodes];
    right[0] += p.emf / p.internal;
    for (n, l) in &p.loads {
        match l {
            Load::ConstantCurrent(i) => right[*n] -= i,
            Load::Resistance(r) => g[*n][*n] += 1.0 / r,
            Load::ConstantPower(w) => power[*n] += w,
            Load::Curve(_) => panic!("no curves here"),
        }
    }
    let mut v = times(&inverse(&g)?, &right);
    if v.iter().any(|x| *x <= 0.0) {
        return None;
    }
    for _ in 0..300 {
        let mut j = g.clone();
        let mut h = times(&g, &v);
        for n in 0..p.nodes {
            j[n][n] -= power[n] / v[n] / v[n];
            h[n] += power[n] / v[n] - right[n];
        }
        let inv = inverse(&j)?;
        let top = inv.iter().flatten().fold(0.0f64, |m, x| m.max(*x));
        if inv.iter().flatten().any(|x| *x < -1e-9 * top) {
            return None;
        }
        let step = times(&inv, &h);
        let scale = v.iter().fold(0.0f64, |m, x| m.max(*x));
        if step.iter().any(|d| *d < -1e-9 * scale) {
            return None;
        }
        for (x, d) in v.iter_mut().zip(&step) {
            *x -= d;
        }
        if v.iter().any(|x| *x <= 0.0) {
            return None;
        }
        if step.iter().all(|d| d.abs() < 1e-12 * scale) {
            return Some(v);
        }
    }
    None
}
