import { describe, expect, test } from 'vitest';
import { chooseColumns, guessColumns, noColumns } from '../../src/parts/import-columns.ts';
import type { ColumnMapping } from '../../src/parts/import-types.ts';
import { roverTable, tableOf } from './import-examples.ts';

const guessed = (text: string) => {
  const { mapping } = guessColumns(tableOf(text, { headerLine: 1 }));
  return Object.fromEntries(Object.entries(mapping).filter(([, column]) => column !== null));
};

describe('guessColumns', () => {
  test('matches the real list: used, not to buy; each, not total', () => {
    expect(guessColumns(roverTable())).toEqual({
      mapping: {
        ...noColumns,
        name: 0,
        number: 1,
        supplierNumber: 2,
        packSize: 3,
        quantity: 4,
        price: 6,
        goesInto: 8,
      },
      hints: {},
    });
  });

  test('matches English, German, French and Spanish headers', () => {
    expect(
      guessed(
        'Part Number,Description,Qty per Assembly,UoM,Supplier,Supplier Part No,Unit Price (USD),Material,Process,Weight [kg],Remarks,Parent\nA1,x,1,pcs,y,z,1,w,v,2,u,t',
      ),
    ).toEqual({
      number: 0,
      name: 1,
      quantity: 2,
      unit: 3,
      supplier: 4,
      supplierNumber: 5,
      price: 6,
      material: 7,
      process: 8,
      mass: 9,
      note: 10,
      goesInto: 11,
    });
    expect(
      guessed(
        'Pos;Teilenummer;Benennung;Stückzahl;Einheit;Werkstoff;Lieferant;Bestellnummer;Einzelpreis;Gesamtpreis;Gewicht;Bemerkung;Baugruppe\n1;A1;x;1;Stk;w;y;z;1;2;3;u;t\n2;A2;x;1;Stk;w;y;z;1;2;3;u;t\n3;A3;x;1;Stk;w;y;z;1;2;3;u;t',
      ),
    ).toEqual({
      number: 1,
      name: 2,
      quantity: 3,
      unit: 4,
      material: 5,
      supplier: 6,
      supplierNumber: 7,
      price: 8,
      mass: 10,
      note: 11,
      goesInto: 12,
    });
    expect(
      guessed(
        'Numéro de pièce;Désignation;Quantité;Unité;Matière;Fournisseur;Référence fournisseur;Prix unitaire;Masse;Remarques;Ensemble\nA1;x;1;pce;w;y;z;1;3;u;t',
      ),
    ).toEqual({
      number: 0,
      name: 1,
      quantity: 2,
      unit: 3,
      material: 4,
      supplier: 5,
      supplierNumber: 6,
      price: 7,
      mass: 8,
      note: 9,
      goesInto: 10,
    });
    expect(
      guessed(
        'Código;Nombre;Cantidad;Unidad;Material;Proveedor;Código proveedor;Precio unitario;Peso;Notas;Conjunto\nA1;x;1;ud;w;y;z;1;3;u;t',
      ),
    ).toEqual({
      number: 0,
      name: 1,
      quantity: 2,
      unit: 3,
      material: 4,
      supplier: 5,
      supplierNumber: 6,
      price: 7,
      mass: 8,
      note: 9,
      goesInto: 10,
    });
  });

  test('a name beside a description keeps the name and makes the description a note', () => {
    expect(guessed('Name,Description,Number\ngear,32 teeth,G1')).toEqual({ name: 0, note: 1, number: 2 });
  });

  test('a column that only counts the rows is no part number', () => {
    expect(guessed('No,Name\n1,a\n2,b\n3,c')).toEqual({ name: 1 });
    expect(guessed('No,Name\n17,a\n21,b\n3,c')).toEqual({ number: 0, name: 1 });
  });

  test('a column of words is no quantity, price or mass', () => {
    expect(guessed('Name,Quantity,Price\na,few,cheap\nb,many,dear')).toEqual({ name: 0 });
  });

  test('totals and what is to be bought are left alone', () => {
    expect(guessed('Name,Qty to order,Total price,Extended cost\na,1,2,3')).toEqual({ name: 0 });
  });

  test('headers that say nothing match nothing', () => {
    expect(guessed('foo,bar\na,1')).toEqual({});
    expect(guessColumns(tableOf('a,1\nb,2', { headerLine: null })).mapping).toEqual(noColumns);
  });

  test('reads what headers say about units, currency and counting', () => {
    const hints = (text: string) => guessColumns(tableOf(text, { headerLine: 1 })).hints;
    expect(hints('Name,Qty per assembly,Unit price (CHF),Mass (kg)\na,1,2,3')).toEqual({
      quantityIs: 'each',
      priceIs: 'unit',
      listCurrency: 'CHF',
      massUnit: 'kg',
    });
    expect(hints('Name,Total quantity,Price €,Weight in lbs\na,1,2,3')).toEqual({
      listCurrency: 'EUR',
      massUnit: 'lb',
    });
    expect(hints('Name,Qty,Price NEW\na,1,2')).toEqual({});
  });
});

describe('chooseColumns', () => {
  const header = ['a', 'b', 'c'];
  const guess: ColumnMapping = { ...noColumns, name: 0, quantity: 1 };

  test('puts the choice over the guess and frees a column that was guessed for another field', () => {
    expect(chooseColumns(guess, { price: 1 }, header)).toEqual({
      ok: true,
      mapping: { ...noColumns, name: 0, price: 1 },
    });
    expect(chooseColumns(guess, { quantity: null }, header)).toEqual({
      ok: true,
      mapping: { ...noColumns, name: 0 },
    });
    expect(chooseColumns(guess, {}, header)).toEqual({ ok: true, mapping: guess });
  });

  test('refuses a column that is not there or chosen twice', () => {
    expect(chooseColumns(guess, { price: 3 }, header)).toEqual({
      ok: false,
      problems: [{ field: 'price', sentence: 'There is no column 4: the list has 3.' }],
    });
    expect(chooseColumns(guess, { price: -1, mass: 0.5 }, header)).toMatchObject({ ok: false });
    expect(chooseColumns(guess, { price: 2, mass: 2 }, header)).toEqual({
      ok: false,
      problems: [{ field: 'mass', sentence: 'The column "c" is already chosen for price.' }],
    });
  });

  test('asks for a name or a number', () => {
    expect(chooseColumns(guess, { name: null }, header)).toEqual({
      ok: false,
      problems: [{ field: 'name', sentence: 'Choose the column of the name or of the part number.' }],
    });
    expect(chooseColumns(guess, { name: null, number: 2 }, header)).toMatchObject({ ok: true });
  });
});
