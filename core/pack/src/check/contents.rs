//! Steps 6 to 13 and 20 to 21: sums, manifest, certificates, signature, revocations, readable facts,
//! rows; the steps between are called from here.

use std::collections::{BTreeMap, BTreeSet};

use ed25519_dalek::Signature;
use serde_json::json;
use wythe_job::{
    Body, Certificate, Chain, DeviceId, Fact, Facts, Fingerprint, Refusal, Stream, digest_of, fold, json,
    readable,
};

use super::facts::{CheckedFacts, check_facts};
use super::originals::{check_originals, named_originals};
use super::{Opened, Report};
use crate::claims::{Claims, Row, State};
use crate::fault::PackFault;
use crate::manifest::{Manifest, MemberLine};
use crate::members::{
    CLAIMS, FACTS, FACTS_JSON, MANIFEST, Member, SIGNATURE, SUMS, digest_in, original_name, sums_text,
};

/// The certificates and revocations of a pack, checked.
pub(crate) struct Signers {
    pub(crate) certificates: BTreeMap<Chain, Certificate>,
    pub(crate) revoked: BTreeSet<DeviceId>,
    /// Chains that need a certificate though they may have no fact here.
    pub(crate) used: BTreeSet<Chain>,
}

pub(crate) fn check_contents(opened: &Opened, trust: Option<Fingerprint>) -> Result<Report, PackFault> {
    check_sums(opened)?;
    let manifest = Manifest::from_bytes(opened.bytes(MANIFEST))?;
    check_members(&manifest, &opened.members)?;
    let signers = check_signers(&manifest, opened, trust)?;
    let facts = check_facts(opened.bytes(FACTS), &manifest, &signers)?;
    check_originals(&opened.members, &manifest, &facts)?;
    if facts_json(&facts.in_order).as_bytes() != opened.bytes(FACTS_JSON) {
        return Err(PackFault::FactsJson);
    }
    let claims = Claims::from_bytes(opened.bytes(CLAIMS), &manifest)?;
    check_claims(&claims, &facts)?;
    Ok(report(
        opened,
        manifest,
        &signers,
        &facts,
        &claims,
        trust.is_some(),
    ))
}

/// The text of `facts.json`.
pub(crate) fn facts_json(facts: &[Fact]) -> String {
    let facts: Vec<serde_json::Value> = facts.iter().map(readable).collect();
    json::to_text(&json!({ "facts": facts, "format": 1 }))
}

fn check_sums(opened: &Opened) -> Result<(), PackFault> {
    let expected = sums_text(&opened.members);
    let found = opened.bytes(SUMS);
    if expected.as_bytes() == found {
        return Ok(());
    }
    let lines = found.split_inclusive(|b| *b == b'\n');
    let differs = opened
        .members
        .iter()
        .zip(expected.split_inclusive('\n').zip(lines));
    let mut differs = differs.filter(|(_, (expected, found))| expected.as_bytes() != *found);
    let first = differs.next().map_or(SUMS, |(member, _)| &member.name);
    Err(PackFault::Sums(first.to_owned()))
}

fn check_members(manifest: &Manifest, members: &[Member]) -> Result<(), PackFault> {
    let signed = members.iter().take_while(|member| member.name != MANIFEST);
    let found: Vec<MemberLine> = signed.map(MemberLine::from).collect();
    let mut pairs = found.iter().zip(&manifest.members);
    let first = pairs
        .find(|(found, told)| found != told)
        .map(|(found, _)| found.name.clone());
    let fewer = found.len() != manifest.members.len();
    match first.or_else(|| fewer.then(|| "the list of members".to_owned())) {
        Some(name) => Err(PackFault::ManifestMembers(name)),
        None => Ok(()),
    }
}

fn check_signers(
    manifest: &Manifest,
    opened: &Opened,
    trust: Option<Fingerprint>,
) -> Result<Signers, PackFault> {
    let certificates = check_certificates(manifest)?;
    let packer = Chain {
        device: manifest.packed_by.device,
        epoch: manifest.packed_by.epoch,
    };
    let certificate = certificates.get(&packer).ok_or(PackFault::ManifestSignature)?;
    let signature = Signature::from_slice(opened.bytes(SIGNATURE));
    let key = certificate.device_key();
    let fits = match (signature, key) {
        (Ok(signature), Ok(key)) => key.verify_strict(opened.bytes(MANIFEST), &signature).is_ok(),
        _ => false,
    };
    if !fits {
        return Err(PackFault::ManifestSignature);
    }
    if trust.is_some_and(|trust| trust.to_string() != manifest.fingerprint) {
        return Err(PackFault::Untrusted {
            found: manifest.fingerprint.clone(),
        });
    }
    let mut signers = Signers {
        certificates,
        revoked: BTreeSet::new(),
        used: BTreeSet::from([packer]),
    };
    check_revocations(manifest, &mut signers)?;
    if signers.revoked.contains(&packer.device) {
        return Err(PackFault::RevokedPacker);
    }
    Ok(signers)
}

fn check_certificates(manifest: &Manifest) -> Result<BTreeMap<Chain, Certificate>, PackFault> {
    let mut certificates: BTreeMap<Chain, Certificate> = BTreeMap::new();
    for (index, digits) in (1..).zip(&manifest.certificates) {
        let wrong = |why: &str| PackFault::Certificate {
            index,
            why: why.to_owned(),
        };
        let bytes = hex::decode(digits).unwrap_or_default();
        let certificate = Certificate::decode(&bytes).map_err(|refusal| wrong(&refusal.to_string()))?;
        let ours = certificate.business() == manifest.business
            && certificate.fingerprint().to_string() == manifest.fingerprint;
        if !ours {
            return Err(wrong("it is of another business or another key"));
        }
        let last = certificates.last_key_value().map(|(chain, _)| *chain);
        if last.is_some_and(|last| last >= certificate.chain()) {
            return Err(wrong("it is not in its place, or stands twice"));
        }
        certificates.insert(certificate.chain(), certificate);
    }
    Ok(certificates)
}

fn check_revocations(manifest: &Manifest, signers: &mut Signers) -> Result<(), PackFault> {
    let wrong = |index: usize, why: &str| PackFault::Revocation {
        index,
        why: why.to_owned(),
    };
    let mut read: Vec<Fact> = Vec::new();
    for (index, digits) in (1..).zip(&manifest.revocations) {
        let bytes = hex::decode(digits).unwrap_or_default();
        let fact = Fact::decode(&bytes).map_err(|refusal| wrong(index, &refusal.to_string()))?;
        let envelope = fact.envelope();
        let ours = envelope.business == manifest.business
            && envelope.stream == Stream::from(manifest.business)
            && envelope.kind == "device_revoked";
        let Some(Body::DeviceRevoked(body)) = fact.body().filter(|_| ours) else {
            return Err(wrong(index, "it is no revocation of this business"));
        };
        if read.last().is_some_and(|last| last.id() >= fact.id()) {
            return Err(wrong(index, "it is not in its place, or stands twice"));
        }
        verify(&fact, signers).map_err(|refusal| wrong(index, &refusal.to_string()))?;
        signers.revoked.insert(body.device);
        signers.used.insert(envelope.chain());
        read.push(fact);
    }
    for (index, fact) in (1..).zip(&read) {
        if signers.revoked.contains(&fact.envelope().device) {
            return Err(wrong(index, "the device that signed it is revoked itself"));
        }
    }
    Ok(())
}

/// The devices that revocations name.
pub(crate) fn revoked_devices(revocations: &[&Fact]) -> BTreeSet<DeviceId> {
    revocations
        .iter()
        .filter_map(|fact| match fact.body() {
            Some(Body::DeviceRevoked(body)) => Some(body.device),
            _ => None,
        })
        .collect()
}

pub(super) fn verify(fact: &Fact, signers: &Signers) -> Result<(), Refusal> {
    let certificate = signers.certificates.get(&fact.envelope().chain());
    let certificate = certificate.ok_or(Refusal::UnknownDevice(fact.id()))?;
    fact.verify(&certificate.device_key()?)
}

fn check_claims(claims: &Claims, facts: &CheckedFacts) -> Result<(), PackFault> {
    let set: Facts = facts.in_order.iter().cloned().collect();
    let folded = fold(&set);
    let endings = named_originals(facts);
    for (index, row) in (1..).zip(&claims.rows) {
        let wrong = |why: String| {
            Err(PackFault::ClaimFacts {
                row: index,
                requirement: row.requirement.clone(),
                why,
            })
        };
        if let Some(missing) = row.facts.iter().find(|id| set.get(**id).is_none()) {
            return wrong(format!("fact {missing} is not here"));
        }
        if needs_facts(row) && row.facts.is_empty() {
            return wrong("it stands on no fact".into());
        }
        if row.state == State::Met
            && let Some(struck) = row.facts.iter().find(|id| folded.is_struck(**id))
        {
            return wrong(format!("fact {struck} was struck out"));
        }
        let behind: BTreeSet<String> = row
            .facts
            .iter()
            .filter_map(|id| set.get(*id)?.body()?.original().map(|original| original.digest))
            .filter_map(|digest| {
                endings
                    .get(&digest)
                    .map(|named| original_name(digest, &named.media_type))
            })
            .collect();
        if let Some(member) = row.members.iter().find(|member| {
            let packed = facts.packed.contains(*member);
            !packed || !behind.contains(*member)
        }) {
            return Err(PackFault::ClaimMembers {
                row: index,
                requirement: row.requirement.clone(),
                member: member.clone(),
            });
        }
    }
    Ok(())
}

fn needs_facts(row: &Row) -> bool {
    matches!(row.state, State::Met | State::Doubtful | State::Failed)
}

fn report(
    opened: &Opened,
    manifest: Manifest,
    signers: &Signers,
    facts: &CheckedFacts,
    claims: &Claims,
    trusted: bool,
) -> Report {
    let originals = opened.members.iter();
    let mut rows: BTreeMap<State, usize> = BTreeMap::new();
    for row in &claims.rows {
        *rows.entry(row.state).or_default() += 1;
    }
    let chain = |device, epoch| Chain { device, epoch };
    let chains = manifest.chains.iter();
    Report {
        pack: digest_of(opened.bytes(MANIFEST)),
        business: manifest.business,
        fingerprint: manifest.fingerprint,
        trusted,
        packed_by: chain(manifest.packed_by.device, manifest.packed_by.epoch),
        job: manifest.job,
        as_of: manifest.as_of,
        language: manifest.language,
        reader: manifest.reader,
        programme: (manifest.programme.id, manifest.programme.digest),
        guide: manifest.guide,
        software: manifest.software,
        facts: facts.in_order.len(),
        left_out: manifest.left_out.iter().map(|line| line.fact).collect(),
        erased: facts.erased.clone(),
        originals: originals
            .filter(|member| digest_in(&member.name).is_some())
            .count(),
        left_out_originals: manifest
            .left_out_originals
            .iter()
            .map(|line| (line.sha256, line.reason))
            .collect(),
        forks: manifest
            .forks
            .iter()
            .map(|line| (chain(line.device, line.epoch), line.number))
            .collect(),
        revoked: chains
            .filter(|line| signers.revoked.contains(&line.device))
            .map(|line| chain(line.device, line.epoch))
            .collect(),
        rows,
    }
}
