export { seedLibraries } from './seed-libraries.ts';
