//! The broker: listened to for as long as the site runs, whether it is there or not.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::mpsc::{SyncSender, TrySendError};
use std::time::Duration;

use ft_probe::{Broker, Source};
use rumqttc::{AsyncClient, ConnectionError, Event, MqttOptions, Packet, QoS, SubscribeReasonCode};

use super::{Input, Link};
use crate::ids::now_ms;
use crate::site::Site;

/// Waiting times between tries, seconds. Source: none, our choice: soon after a restart, and then gently.
const WAITS_S: [u64; 6] = [1, 2, 4, 8, 15, 30];
/// The largest packet that is read; `ft_probe` looks into messages of at most 4096 bytes.
const LARGEST: usize = 256 * 1024;

/// Listens; ends when nobody follows any more.
pub async fn listen(site: Arc<Site>, broker: Broker, password: Option<String>, tell: SyncSender<Input>) {
    let mut probes: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (index, watch) in site.probes.watches().iter().enumerate() {
        if let Source::Topic { topic, .. } = &watch.probe.source {
            probes.entry(topic.clone()).or_default().push(index);
        }
    }
    let mut options = MqttOptions::new(&broker.client, &broker.host, broker.port);
    options.set_keep_alive(Duration::from_secs(u64::from(broker.keep_alive_s)));
    options.set_max_packet_size(LARGEST, LARGEST);
    // What was missed is missed: a reading that is handed on later would look as if it were of then.
    options.set_clean_session(true);
    if let Some(user) = &broker.user {
        options.set_credentials(user, password.unwrap_or_default());
    }
    let (client, mut events) = AsyncClient::new(options, probes.len() + 8);
    let place = format!("{}:{}", broker.host, broker.port);
    let mut tries = 0;
    loop {
        match events.poll().await {
            Ok(Event::Incoming(Packet::ConnAck(_))) => {
                tries = 0;
                println!("probes: connected to the broker {place}; {} topics", probes.len());
                for topic in probes.keys() {
                    // At most once: a second copy of a reading would be of another moment.
                    if let Err(error) = client.try_subscribe(topic, QoS::AtMostOnce) {
                        eprintln!("probes: {topic:?} is not asked for: {error}");
                    }
                }
                if !hand_on(&site, &tell, Input::Link(Link::Here { since_ms: now_ms() })) {
                    return;
                }
            }
            Ok(Event::Incoming(Packet::SubAck(answer)))
                if answer.return_codes.contains(&SubscribeReasonCode::Failure) =>
            {
                let refused = "the broker does not let this program read a topic of the mapping".to_owned();
                eprintln!("probes: {refused}");
                if !hand_on(&site, &tell, Input::Link(Link::Away { since_ms: now_ms(), why: refused })) {
                    return;
                }
            }
            Ok(Event::Incoming(Packet::Publish(message))) => {
                for probe in probes.get(&message.topic).into_iter().flatten() {
                    let (payload, is_retained) = (message.payload.to_vec(), message.retain);
                    if !hand_on(&site, &tell, Input::Message { probe: *probe, payload, is_retained }) {
                        return;
                    }
                }
            }
            Ok(_) => {}
            Err(error) => {
                let why = in_words(&error);
                let wait_s = WAITS_S[tries.min(WAITS_S.len() - 1)];
                println!("probes: the broker {place} is away: {why}; trying again in {wait_s} s");
                tries += 1;
                if !hand_on(&site, &tell, Input::Link(Link::Away { since_ms: now_ms(), why })) {
                    return;
                }
                tokio::time::sleep(Duration::from_secs(wait_s)).await;
            }
        }
    }
}

/// Hands something on without waiting; `false` where nobody follows any more.
fn hand_on(site: &Site, tell: &SyncSender<Input>, input: Input) -> bool {
    match tell.try_send(input) {
        Ok(()) => true,
        Err(TrySendError::Full(_)) => {
            site.probes.overflowed();
            true
        }
        Err(TrySendError::Disconnected(_)) => false,
    }
}

fn in_words(error: &ConnectionError) -> String {
    match error {
        ConnectionError::ConnectionRefused(code) => format!("it does not let this program in ({code:?})"),
        ConnectionError::Io(error) => error.to_string(),
        ConnectionError::NetworkTimeout | ConnectionError::FlushTimeout => "it does not answer".to_owned(),
        other => other.to_string(),
    }
}
