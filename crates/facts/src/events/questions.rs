//! Questions for every story (filled below).

/// x
#[derive(Debug)]
pub struct Deafness;
/// x
#[derive(Debug)]
pub struct Keeps;
/// x
#[derive(Debug)]
pub struct KeepsGoing;
/// x
#[derive(Debug)]
pub struct Longest;
/// x
#[derive(Debug)]
pub struct Often;
