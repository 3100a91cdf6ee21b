// "25 Nov, 10:42" in the clock of this device.
const form = new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'short', hour: '2-digit', minute: '2-digit' });
export const atTime = (utc: string): string => form.format(new Date(utc));
