/**
 * Amplification in decibels of 75 telephone amplifiers, limits 4 and 6: the 90 % interval of Cpk is given as 0.328 to 0.496.
 *
 * Source: SAS/QC User's Guide, the CAPABILITY procedure, example 5.3 "Displaying a Confidence Interval for Cpk"
 * (support.sas.com/documentation/cdl/en/qcug/63964, data set Amps in sample CAPSPEC3), by Bissell's method.
 */
export const AMPLIFIERS = [
  4.54, 4.87, 4.66, 4.9, 4.68, 5.22, 4.43, 5.14, 3.07, 4.22, 5.09, 3.41, 5.75, 5.16, 3.96, 5.37, 5.7, 4.11,
  4.83, 4.51, 4.57, 4.16, 5.73, 3.64, 5.48, 4.95, 4.57, 4.46, 4.75, 5.38, 5.19, 4.35, 4.98, 4.87, 3.53, 4.46,
  4.57, 4.69, 5.27, 4.67, 5.03, 4.5, 5.35, 4.55, 4.05, 6.63, 5.32, 5.24, 5.73, 5.08, 5.07, 5.42, 5.05, 5.7,
  4.79, 4.34, 5.06, 4.64, 4.82, 3.24, 4.79, 4.46, 3.84, 5.05, 5.46, 4.64, 6.13, 4.31, 4.81, 4.98, 4.95, 5.57,
  4.11, 4.15, 5.95,
];
