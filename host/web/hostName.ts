import multicastDns from 'multicast-dns';

/** The name by which devices of the same network find this machine, also after its address has changed. */
export const sharedName = 'lodepole.local';
/** So long may others remember the address. */
const rememberS = 10;

/** Answers who asks the local network for the name (multicast DNS, RFC 6762); returns how to stop it. */
export function answerToName(addresses: () => readonly string[]): () => void {
  const responder = multicastDns();
  // a network without multicast has the addresses in numbers all the same
  responder.on('error', () => {});
  responder.on('warning', () => {});
  responder.on('query', ({ questions }) => {
    const isAsked = questions.some(
      ({ name, type }) => name.toLowerCase() === sharedName && ['A', 'ANY'].includes(type ?? ''),
    );
    if (!isAsked) return;
    responder.respond({
      answers: addresses().map((data) => ({ name: sharedName, type: 'A', ttl: rememberS, flush: true, data })),
    });
  });
  return () => responder.destroy();
}
