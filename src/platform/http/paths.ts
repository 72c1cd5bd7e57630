export const SIGN_IN_PATH = '/sign-in';
export const SET_UP_PATH = '/set-up';
export const CALCULATE_PATH = '/api/v1/calculate';
