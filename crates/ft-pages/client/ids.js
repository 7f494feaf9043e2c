// Ids that are made on the device, in the order of time: UUID version 7 (RFC 9562, section 5.7).

/** A new id. `crypto.randomUUID` is not there on plain http, `getRandomValues` is. @param {number} now ms since 1970 @returns {string} */
export function uuid7(now) {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  for (let index = 0; index < 6; index += 1) bytes[index] = Math.floor(now / 2 ** (8 * (5 - index))) & 0xff;
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}
