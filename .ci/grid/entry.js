/* What assets/book_table.js uses of the table's library, under one global name. */
import {
  CellStyleModule,
  ClientSideRowModelApiModule,
  ClientSideRowModelModule,
  ColumnApiModule,
  ExternalFilterModule,
  LocaleModule,
  ModuleRegistry,
  RenderApiModule,
  RowApiModule,
  RowStyleModule,
  ScrollApiModule,
  createGrid,
  createTheme,
} from "ag-grid-community";

ModuleRegistry.registerModules([
  CellStyleModule,
  ClientSideRowModelApiModule,
  ClientSideRowModelModule,
  ColumnApiModule,
  ExternalFilterModule,
  LocaleModule,
  RenderApiModule,
  RowApiModule,
  RowStyleModule,
  ScrollApiModule,
]);

window.unspoolGrid = { createGrid, createTheme };
